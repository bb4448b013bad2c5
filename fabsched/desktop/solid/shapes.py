"""What the parts of the open project look like, worked out once each and kept while it is open."""

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QColor, QImage, QPainter, QPalette

from fabsched.desktop.desk import Desk
from fabsched.desktop.solid.camera import Camera, Floats, Stand
from fabsched.desktop.solid.pixels import image_of, outline_path
from fabsched.desktop.solid.shade import picture
from fabsched.desktop.timeline.look import BLUE, VERMILLION, mixed
from fabsched.model.shapes import Drawing, Mesh
from fabsched.session.requests import LookResponse

Shown = Mesh | Drawing
"""What can be shown."""
AIR = 0.94
"""Share of a thumbnail that the part takes."""
THUMB = Camera()
"""From where parts are seen in thumbnails."""


class Shapes(QObject):
    """Finds out what parts look like.

    Signals:
        known: id of a part whose look is known now.
    """

    known = Signal(str)

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        """Follow a desk.

        Args:
            desk: whose parts.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk = desk
        self._looks: dict[str, Shown | None] = {}
        self._asked: dict[str, str] = {}
        desk.opened.connect(self._forget)

    def _forget(self) -> None:
        self._looks, self._asked = {}, {}

    def of(self, ident: str) -> Shown | None:
        """What a part looks like; asks for it where that is not known yet, and says None."""
        session = self._desk.session
        mark = session.mark(ident) if session else ""
        if mark in self._looks:
            return self._looks[mark]
        if session is not None and mark and self._asked.get(ident) != mark:
            request = session.look_request(ident)
            if request is not None:
                self._asked[ident] = mark
                self._desk.errands.ask(request, lambda got: self._take(ident, mark, got))
        return None

    def _take(self, ident: str, mark: str, got: LookResponse) -> None:
        self._looks[mark] = got.shape
        self.known.emit(ident)


def thumbnail(shape: Shown, side_px: int, palette: QPalette) -> QImage:
    """A small square picture of a part.

    Args:
        shape: what it looks like.
        side_px: side of the picture.
        palette: whose background it will stand on.
    """
    base = palette.color(QPalette.ColorRole.Base)
    if isinstance(shape, Mesh):
        tone = mixed(base, QColor(BLUE), 0.62)
        rgb = (tone.red(), tone.green(), tone.blue())
        stand = _fitted(shape, side_px)
        return image_of(picture(shape.vertices, shape.faces, stand, (side_px, side_px), rgb))
    return _flat(shape, side_px, base)


def _fitted(mesh: Mesh, side_px: int) -> Stand:
    """The camera so placed that the solid fills the picture."""
    seen: Floats = mesh.vertices @ THUMB.axes.T
    low, high = seen.min(axis=0), seen.max(axis=0)
    across_mm = max(float((high - low)[:2].max()), 1e-9)
    centre = ((low + high) / 2) @ THUMB.axes
    middle = (side_px / 2, side_px / 2)
    return Stand(camera=THUMB, centre_mm=centre, px_mm=AIR * side_px / across_mm, middle_px=middle)


def _flat(drawing: Drawing, side_px: int, base: QColor) -> QImage:
    image = QImage(side_px, side_px, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(QColor(0, 0, 0, 0))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    inset = round(side_px * (1 - AIR) / 2) + 1
    path = outline_path(drawing, image.rect().toRectF().adjusted(inset, inset, -inset, -inset))
    painter.fillPath(path, mixed(base, QColor(VERMILLION), 0.3))
    painter.setPen(QColor(VERMILLION))
    painter.drawPath(path)
    painter.end()
    return image
