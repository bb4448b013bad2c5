"""How long it takes from one place to each of the others."""

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QFormLayout, QLabel, QVBoxLayout, QWidget

from fabsched.desktop.shop.names import tr
from fabsched.desktop.steady_fields import Count
from fabsched.model.shop import Place, Shop
from fabsched.session.shop_edits import way_minutes

MOST_MINUTES = 1440
"""A day, as the reader has it."""


class WaysEditor(QWidget):
    """A field for each other place.

    Signals:
        wanted: id of the other place, and minutes to it or None for no way.
    """

    wanted = Signal(str, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make it empty."""
        super().__init__(parent)
        self.boxes: dict[str, Count] = {}
        self._labels: dict[str, QLabel] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        self.title = QLabel(tr("Ways, door to door"), self)
        column.addWidget(self.title)
        self._form = QFormLayout()
        column.addLayout(self._form)

    def show_ways(self, place: Place, shop: Shop) -> None:
        """Show the ways from a place."""
        others = [other for other in shop.places if other.id != place.id]
        if list(self.boxes) != [other.id for other in others]:
            self._rebuild(others)
        self.setVisible(bool(others))
        for other in others:
            minutes, box = way_minutes(shop, place.id, other.id), self.boxes[other.id]
            self._labels[other.id].setText(f"{tr('To')} {other.name}")
            box.setAccessibleName(f"{tr('Way to')} {other.name}")
            with QSignalBlocker(box):
                box.setValue(-1 if minutes is None else round(minutes))

    def _rebuild(self, others: list[Place]) -> None:
        while self._form.rowCount():
            self._form.removeRow(0)
        self.boxes, self._labels = {}, {}
        for other in others:
            box = Count(self)
            box.setRange(-1, MOST_MINUTES)
            box.setSpecialValueText(tr("no way"))
            box.setSuffix(tr(" min"))
            box.setToolTip(tr("Minutes from door to door; the same in both directions"))
            box.setKeyboardTracking(False)
            box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            box.valueChanged.connect(lambda value, ident=other.id: self._tell(ident, value))
            label = QLabel(self)
            label.setBuddy(box)
            self.boxes[other.id], self._labels[other.id] = box, label
            self._form.addRow(label, box)

    def _tell(self, ident: str, value: int) -> None:
        self.wanted.emit(ident, None if value < 0 else float(value))
