"""What the laser does along each layer of a drawing, to be set."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QComboBox, QFormLayout, QGroupBox, QWidget

from fabsched.desktop.steady_fields import OneOf
from fabsched.model.operations import Layers, Operation
from fabsched.model.project import Part


class LayerTable(QGroupBox):
    """A row for each layer: its name, and what is done along it."""

    def __init__(self, change: Callable[[Part], None], parent: QWidget | None = None) -> None:
        """Make an empty table.

        Args:
            change: takes the part as it should be.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._change = change
        self._part: Part | None = None
        self._found: Layers = ()
        self._form = QFormLayout(self)
        self.boxes: dict[str, QComboBox] = {}
        self.setTitle(self.tr("Along each &layer the laser"))
        self.setToolTip(
            self.tr("Layers of a DXF drawing; labels, ids and classes of an SVG drawing")
        )
        self.hide()

    def show_part(self, part: Part, found: Layers) -> None:
        """Show what is done along each layer.

        Args:
            part: a cut part; its own words go before what was found.
            found: the layers of its drawing, as read; empty while they are not known.
        """
        if self._part is None or self._part.id != part.id:
            self._found = ()
        self._part, self._found = part, found or self._found  # read anew after every change
        own = {name.casefold(): operation for name, operation in part.layers}
        layers = self._found or part.layers
        if list(self.boxes) != [name for name, _ in layers]:
            self._make(layers)
        for name, operation in layers:
            box = self.boxes[name]
            with QSignalBlocker(box):
                wanted = own.get(name.casefold(), operation)
                box.setCurrentIndex(box.findData(wanted.value))
        self.setVisible(bool(layers))

    def _make(self, layers: Layers) -> None:
        while self._form.rowCount():
            row = self._form.takeRow(0)
            for item in (row.labelItem, row.fieldItem):
                if (widget := item.widget()) is not None:
                    widget.hide()
                    widget.deleteLater()  # later: it may be what was just used
        self.boxes = {name: self._box(name) for name, _ in layers}
        for name, box in self.boxes.items():
            self._form.addRow(name.replace("&", "&&"), box)

    def _box(self, layer: str) -> QComboBox:
        box = OneOf(self)
        names = {
            Operation.CUT: self.tr("cuts"),
            Operation.SCORE: self.tr("scores"),
            Operation.ENGRAVE: self.tr("engraves"),
            Operation.IGNORE: self.tr("does nothing"),
        }
        for operation, name in names.items():
            box.addItem(name, operation.value)
        box.setAccessibleName(self.tr("What the laser does along layer {name}").format(name=layer))
        box.activated.connect(partial(self._set, layer))
        return box

    def _set(self, layer: str, _index: int) -> None:
        """Put one layer into the part's own words."""
        if self._part is None:
            return
        rest = (pair for pair in self._part.layers if pair[0].casefold() != layer.casefold())
        operation = Operation(self.boxes[layer].currentData())
        self._change(replace(self._part, layers=(*rest, (layer, operation))))
