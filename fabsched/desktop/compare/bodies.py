"""A picture of what a part is made of: plates and pieces moved apart, or the part as a whole."""

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QEvent, QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from fabsched.desktop.solid.camera import Camera, Stand
from fabsched.desktop.solid.pixels import image_of
from fabsched.desktop.solid.shade import picture
from fabsched.desktop.timeline.look import BLUE, ORANGE, look, mixed
from fabsched.model.shapes import Drawing, Mesh
from fabsched.session.way_records import Body

CAMERA = Camera()
"""From where it is seen: as thumbnails are."""
AIR = 0.92
"""Share of the picture that is filled."""
HIGH_PX = 140
"""Height of the picture."""


class BodiesView(QWidget):
    """Shows bodies; drawn once for each size."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__(parent)
        self._mesh: Mesh | None = None
        self._pieces = np.empty(0, np.bool_)
        self._image: QImage | None = None
        self.setFixedHeight(HIGH_PX)
        self.setAccessibleName(self.tr("Picture"))

    def show_bodies(self, bodies: Sequence[Body]) -> None:
        """Show plates and pieces, each in its own colour."""
        self.setAccessibleDescription(", ".join(body.label for body in bodies))
        plates = [body.label.isdigit() for body in bodies]
        counts = [len(body.mesh.faces) for body in bodies]
        self._show(joined([body.mesh for body in bodies]), np.repeat(~np.array(plates), counts))

    def show_shape(self, shape: Mesh | Drawing | None) -> None:
        """Show a part as it is; of flat parts nothing is shown."""
        if isinstance(shape, Mesh) and shape is not self._mesh:
            self._show(shape, np.ones(len(shape.faces), np.bool_))

    def _show(self, mesh: Mesh, pieces: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> None:
        self._mesh, self._pieces, self._image = mesh, pieces, None
        self.update()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._image = None
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Show them."""
        if self._mesh is None:
            return
        ratio = self.devicePixelRatioF()
        wide, high = round(self.width() * ratio), round(self.height() * ratio)
        if self._image is None or (self._image.width(), self._image.height()) != (wide, high):
            self._image = self._drawn(self._mesh, (max(1, wide), max(1, high)))
        painter = QPainter(self)
        painter.drawImage(QRectF(self.rect()), self._image)
        painter.end()

    def _drawn(self, mesh: Mesh, size_px: tuple[int, int]) -> QImage:
        scheme = look(self.palette(), self.font()).scheme
        plate, piece = (
            mixed(QColor(scheme.lane), QColor(colour), 0.66) for colour in (BLUE, ORANGE)
        )
        rgb = np.array([[tone.red(), tone.green(), tone.blue()] for tone in (plate, piece)], float)
        colours = rgb[self._pieces.astype(np.int64)]
        stand = fitted(mesh, size_px)
        return image_of(picture(mesh.vertices, mesh.faces, stand, size_px, colours))


def joined(meshes: Sequence[Mesh]) -> Mesh:
    """Several bodies as one mesh, in order."""
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes[:-1])])
    faces = [mesh.faces + start for mesh, start in zip(meshes, starts, strict=True)]
    points = np.concatenate([mesh.vertices for mesh in meshes])
    return Mesh(points, np.concatenate(faces).astype(np.int32))


def fitted(mesh: Mesh, size_px: tuple[int, int]) -> Stand:
    """The camera so placed that the bodies fill the picture."""
    seen = mesh.vertices @ CAMERA.axes.T
    low, high = seen.min(axis=0), seen.max(axis=0)
    wide, tall = np.maximum((high - low)[:2], 1e-9).tolist()
    scale = AIR * min(size_px[0] / wide, size_px[1] / tall)
    centre = ((low + high) / 2) @ CAMERA.axes
    return Stand(
        camera=CAMERA, centre_mm=centre, px_mm=scale, middle_px=(size_px[0] / 2, size_px[1] / 2)
    )
