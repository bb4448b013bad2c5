"""What every drawing function of the timeline is handed."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from fabsched.desktop.timeline.face import Face
from fabsched.desktop.timeline.geometry import Frame, Rect, Scale, Sizes
from fabsched.desktop.timeline.look import Look
from fabsched.desktop.timeline.scene import Scene
from fabsched.session.wording import phrase

LEAST_PX = 4.0
"""However short a block is, it is at least so wide."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Canvas:
    """A painter with what is drawn and where.

    Attributes:
        painter: an active painter; its state is kept by every function that changes clip or
            transformation.
        scene: what is drawn.
        frame: lanes along y.
        scale: time along x.
        look: colours and fonts.
        height_px: of the visible part.
        now_s: the present moment.
        lit_s: the stretch of time that is drawn; all of the scale's unless told.
        plain: whether names and numbers are left out.
    """

    painter: QPainter
    scene: Scene
    frame: Frame
    scale: Scale
    look: Look
    height_px: float
    now_s: int
    lit_s: tuple[float, float] | None = None
    plain: bool = False

    @property
    def sizes(self) -> Sizes:
        """Extents."""
        return self.frame.sizes

    @property
    def lanes_bottom_px(self) -> float:
        """Where the lanes end and the strip of likely finishes begins."""
        return self.frame.finish.y

    @property
    def span_s(self) -> tuple[float, float]:
        """The first and the last moment that is drawn."""
        return self.lit_s or (self.scale.start_s, self.scale.end_s)

    def sees(self, start_s: float, end_s: float) -> bool:
        """Whether any of a stretch lies in the visible time."""
        first_s, last_s = self.span_s
        return start_s < last_s and end_s > first_s

    def column(self, start_s: float, end_s: float, top: float, bottom: float) -> Rect:
        """The visible part of a stretch of time between two heights."""
        x = self.scale.x(start_s)
        rect = Rect(x=x, y=top, w=self.scale.x(end_s) - x, h=bottom - top)
        return rect.between(self.scale.left_px, self.scale.right_px)

    def text(self, x: float, top: float, text: str, face: Face, colour: str) -> None:
        """Write a line of text."""
        self.painter.setFont(face.font)
        self.painter.setPen(QColor(colour))
        self.painter.drawText(QPointF(x, top + face.ascent), text)

    def vertical(self, x: float, top: float, bottom: float, colour: str, width: float) -> None:
        """Draw a line from top to bottom, on whole pixels where it is thin."""
        at = round(x) + 0.5 if width <= 1 else x
        pen = QPen(QColor(colour), width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap)
        self.painter.setPen(pen)
        self.painter.drawLine(QPointF(at, top), QPointF(at, bottom))


def trials_text(scene: Scene) -> str:
    """What the strip of likely finishes was counted from."""
    return phrase("trials", count=scene.odds.scenarios)


def wall_px(canvas: Canvas) -> float:
    """How thick the wall at the deadline is."""
    return round(canvas.sizes.line * 0.9)


def upright_marks(canvas: Canvas) -> tuple[tuple[float, float], ...]:
    """From where to where the wall and the line at the present moment stand, with some air."""
    air = canvas.sizes.pad / 2
    wall, now = canvas.scale.x(canvas.scene.deadline_s), canvas.scale.x(canvas.now_s)
    return (wall - air, wall + wall_px(canvas) + air), (now - air, now + air)


def scene_sizes(scene: Scene, look: Look) -> Sizes:
    """Extents that fit the names of a scene's lanes."""
    notes = (*(lane.note for lane in scene.lanes), trials_text(scene))
    return look.sizes(tuple(lane.title for lane in scene.lanes), notes)
