"""What every drawing function of the timeline is handed, and text that fits."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from fabsched.desktop.timeline.geometry import Frame, Rect, Scale, Sizes
from fabsched.desktop.timeline.look import Look
from fabsched.desktop.timeline.scene import Scene

LEAST_PX = 4.0
"""However short a block is, it is at least so wide."""

ELLIPSIS = "\u2026"


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
    """

    painter: QPainter
    scene: Scene
    frame: Frame
    scale: Scale
    look: Look
    height_px: float
    now_s: int

    @property
    def sizes(self) -> Sizes:
        """Extents."""
        return self.frame.sizes

    @property
    def lanes_bottom_px(self) -> float:
        """Where the lanes end and the strip of likely finishes begins."""
        return self.frame.finish.y

    def sees(self, start_s: float, end_s: float) -> bool:
        """Whether any of a stretch lies in the visible time."""
        return start_s < self.scale.end_s and end_s > self.scale.start_s

    def column(self, start_s: float, end_s: float, top: float, bottom: float) -> Rect:
        """The visible part of a stretch of time between two heights."""
        x = self.scale.x(start_s)
        rect = Rect(x=x, y=top, w=self.scale.x(end_s) - x, h=bottom - top)
        return rect.between(self.scale.left_px, self.scale.right_px)

    def text(self, x: float, top: float, text: str, font: QFont, colour: str | QColor) -> float:
        """Write a line of text.

        Returns:
            Its width in pixels.
        """
        metrics = QFontMetricsF(font)
        self.painter.setFont(font)
        self.painter.setPen(QColor(colour))
        self.painter.drawText(QPointF(x, top + metrics.ascent()), text)
        return metrics.horizontalAdvance(text)

    def vertical(self, x: float, top: float, bottom: float, colour: str, width: float) -> None:
        """Draw a line from top to bottom, on whole pixels where it is thin."""
        at = round(x) + 0.5 if width <= 1 else x
        pen = QPen(QColor(colour), width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap)
        self.painter.setPen(pen)
        self.painter.drawLine(QPointF(at, top), QPointF(at, bottom))


def width_px(text: str, font: QFont) -> float:
    """How wide a line of text is."""
    return QFontMetricsF(font).horizontalAdvance(text)


def fitted(text: str, font: QFont, room_px: float, least: int = 3) -> str:
    """The text, or its beginning with an ellipsis; empty where fewer than `least` letters fit."""
    metrics = QFontMetricsF(font)
    if metrics.horizontalAdvance(text) <= room_px:
        return text
    short = metrics.elidedText(text, Qt.TextElideMode.ElideRight, room_px)
    return short if len(short.rstrip(ELLIPSIS)) >= least else ""


def trials_text(scene: Scene) -> str:
    """What the strip of likely finishes was counted from."""
    return f"in {scene.odds.scenarios} trial weekends"


def scene_sizes(scene: Scene, look: Look) -> Sizes:
    """Extents that fit the names of a scene's lanes."""
    notes = (*(lane.note for lane in scene.lanes), trials_text(scene))
    return look.sizes(tuple(lane.title for lane in scene.lanes), notes)
