"""The measures of joints, and what plates have to bear: shown, and changed."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDoubleSpinBox,
    QFormLayout,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from fabsched.advise.plates.joinery import JOINTS, PRESSES, SCREWS, Joinery, Measure, Press
from fabsched.desktop.steady_fields import Amount, OneOf

COLUMNS = 3
"""Columns of the form."""


class JointsForm(QWidget):
    """Fields over the measures.

    Signals:
        changed: another measure was entered.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make a form with the usual measures."""
        super().__init__(parent)
        self.fields: dict[str, QDoubleSpinBox] = {}
        self.screw = OneOf(self)
        self.spares = QCheckBox(self.tr("Add spare bosses where a plate gives too much"), self)
        self.reset = QPushButton(self.tr("The usual measures"), self)
        self.reset.setToolTip(self.tr("Set all measures back to what is usual"))
        self._lay_out()
        self.show_measures(Joinery(), Press())
        self.screw.currentTextChanged.connect(lambda _text: self.changed.emit())
        self.spares.clicked.connect(lambda _on: self.changed.emit())
        self.reset.clicked.connect(self._reset)

    def _lay_out(self) -> None:
        self.screw.addItems([screw.name for screw in SCREWS])
        self.screw.setToolTip(self.tr("Screws that hold pieces on plates, after ISO 261"))
        self.spares.setToolTip(self.tr("Printed posts with a screw, where they are cheap"))
        halves = QHBoxLayout()
        halves.setSpacing(24)
        texts = self._texts()
        each = -(-len(measured := (*JOINTS, *PRESSES)) // COLUMNS)
        for first in range(0, len(measured), each):
            measures = measured[first : first + each]
            form = QFormLayout()
            form.setVerticalSpacing(4)
            if first == 0:
                form.addRow(self.tr("Sc&rew"), self.screw)
            for measure in measures:
                form.addRow(texts[measure.name][0], self._field(measure, texts[measure.name][1]))
            halves.addLayout(form, 1)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(halves)
        line = QHBoxLayout()
        line.addWidget(self.spares, 1)
        line.addWidget(self.reset)
        column.addLayout(line)

    def _texts(self) -> dict[str, tuple[str, str]]:
        """Label and tooltip of every measure."""
        tr = self.tr
        return {
            "wall_mm": (tr("Plastic around a hole"), tr("Least wall around a pilot hole")),
            "deep_mm": (tr("Depth of a hole"), tr("Pieces less than half as deep get no screw")),
            "far_mm": (tr("Two screws from"), tr("Contacts longer than this get two screws")),
            "tab_mm": (tr("Length of a tab"), tr("Tabs stand in slots of the plate")),
            "thin_mm": (tr("Thinnest tab"), tr("Thinner pieces are glued on")),
            "gap_mm": (tr("Between tabs"), tr("Least distance between two tabs")),
            "play_mm": (tr("Play"), tr("Around a tab in its slot, on each side")),
            "kerf_mm": (
                tr("Kerf not made up for"),
                tr("Exports make up for all of it; enter what your own paths leave over"),
            ),
            "web_mm": (tr("Least web"), tr("Material left between a slot and any other opening")),
            "finger_mm": (
                tr("Length of a finger"),
                tr("Where two plates meet in a corner; never less than 1.5 thicknesses"),
            ),
            "crumb_mm3": (tr("Smallest piece"), tr("Smaller pieces are left out")),
            "glue_mpa": (tr("Glue may bear"), tr("Stress that a glued seam may bear")),
            "force_n": (tr("Press"), tr("Force with which somebody presses on a plate")),
            "patch_mm": (tr("Spread over"), tr("Side of the square the press is spread over")),
            "load_n": (
                tr("Even load"),
                tr("Weight that lies on a plate, spread evenly; 0 for none"),
            ),
            "limit_mm": (tr("May give by"), tr("Bosses are looked for where a plate gives more")),
        }

    def _field(self, measure: Measure, tip: str) -> QDoubleSpinBox:
        field = self.fields[measure.name] = Amount(self)
        field.setDecimals(2)
        field.setRange(measure.low, measure.high)
        field.setSingleStep(measure.step)
        field.setSuffix(f" {measure.unit}")
        field.setToolTip(tip)
        field.setKeyboardTracking(False)
        field.valueChanged.connect(lambda _value: self.changed.emit())
        return field

    def show_measures(self, joinery: Joinery, press: Press) -> None:
        """Show other measures."""
        blockers = [QSignalBlocker(w) for w in (*self.fields.values(), self.screw, self.spares)]
        for name, field in self.fields.items():
            field.setValue(getattr(joinery if hasattr(joinery, name) else press, name))
        self.screw.setCurrentText(joinery.screw)
        self.spares.setChecked(joinery.spares)
        del blockers

    @property
    def joinery(self) -> Joinery:
        """The measures of joints as they are entered."""
        given = {measure.name: self.fields[measure.name].value() for measure in JOINTS}
        spares = self.spares.isChecked()
        return replace(Joinery(), **given, screw=self.screw.currentText(), spares=spares)

    @property
    def press(self) -> Press:
        """What plates have to bear, as it is entered."""
        return Press(**{measure.name: self.fields[measure.name].value() for measure in PRESSES})

    def _reset(self) -> None:
        self.show_measures(Joinery(), Press())
        self.changed.emit()
