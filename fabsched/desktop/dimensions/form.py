"""What can be set about a critical dimension."""

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QWidget

from fabsched.desktop.dimensions.fields import Card, choice, length
from fabsched.desktop.line_field import LineField
from fabsched.desktop.note import Note, Tone
from fabsched.model.project import Axis, Fit, FitKind, Gate
from fabsched.session.wording import phrase

USUAL_TOLERANCE_MM = 0.1
"""What a new dimension starts with (own choice; a print is seldom closer)."""
USUAL_PLAY_MM = 0.2
"""Play that is offered first (common practice for a sliding fit of prints, from memory)."""
LONGEST_MM, WIDEST_MM, MOST_PLAY_MM = 10_000.0, 10.0, 5.0
"""As the project file takes them."""


class DimensionForm(Card):
    """The form.

    Signals:
        ready: the dimension as it was entered.
    """

    ready = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty form, which is hidden."""
        super().__init__("", parent)
        self._fit: Fit | None = None
        self.name = LineField(self)
        self.name.setToolTip(self.tr("What it is called here and on its coupon"))
        self.kind = choice(self, self.tr("What has to fit there"), _kinds(self))
        self.axis = choice(
            self,
            self.tr("Direction in which the other thing is pushed in, in the file's coordinates"),
            {Axis.X: "x", Axis.Y: "y", Axis.Z: "z"},
        )
        wanted = self.tr("What it should measure; at first as it is drawn")
        self.nominal = length(self, wanted, 0.01, LONGEST_MM, 0.05)
        off = self.tr("How far off that it may be, either way")
        self.tolerance = length(self, off, 0.0, WIDEST_MM, 0.05)
        self.tolerance.setSpecialValueText(self.tr("not known"))
        self.play_wanted = QCheckBox(self.tr("a ladder with"), self)
        self.play_wanted.setToolTip(
            self.tr("Print several copies on the coupon, each with more play than the one before")
        )
        play = self.tr("Play wanted over the whole width; below zero for a press fit")
        self.play = length(self, play, -MOST_PLAY_MM, MOST_PLAY_MM, 0.05)
        self.gate = choice(self, self.tr("The work that would notice a bad fit"), {})
        self.note = Note(Tone.ERROR, self)
        self._lay_out()
        self.play_wanted.toggled.connect(self.play.setEnabled)
        self.keep.clicked.connect(self.finish)
        self.name.returnPressed.connect(self.finish)

    def _lay_out(self) -> None:
        line = QHBoxLayout()
        line.addWidget(self.play_wanted)
        line.addWidget(self.play, 1)
        self.form.addRow(self.tr("Na&me"), self.name)
        self.form.addRow(self.tr("&Wanted"), self.nominal)
        self.form.addRow(self.tr("&Tolerance \u00b1"), self.tolerance)
        self.form.addRow(self.tr("&What it is"), self.kind)
        self.form.addRow(self.tr("P&ushed in along"), self.axis)
        self.form.addRow(self.tr("Play"), line)
        self.form.addRow(self.tr("&Found by"), self.gate)
        self.column.addLayout(self.form)
        self.column.addWidget(self.note)
        fields = (self.name, self.nominal, self.tolerance, self.kind, self.axis)
        self.foot(*fields, self.play_wanted, self.play, self.gate)

    def begin(self, fit: Fit, gates: tuple[Gate, ...], *, new: bool) -> None:
        """Open for a dimension.

        Args:
            fit: as it is, or as it was measured.
            gates: those of the project.
            new: whether the part has it not yet.
        """
        self._fit = fit
        self.keep.setText(self.tr("Keep") if new else self.tr("Change"))
        self.name.setText(fit.name)
        self.kind.setCurrentIndex(self.kind.findData(fit.kind.value))
        self.axis.setCurrentIndex(self.axis.findData(fit.axis.value))
        self.nominal.setValue(fit.wanted_mm or 0.01)
        usual = USUAL_TOLERANCE_MM if new else 0.0
        self.tolerance.setValue(usual if fit.tolerance_mm is None else fit.tolerance_mm)
        self.play_wanted.setChecked(fit.clearance_mm is not None)
        self.play.setValue(USUAL_PLAY_MM if fit.clearance_mm is None else fit.clearance_mm)
        self.play.setEnabled(self.play_wanted.isChecked())
        self._offer(gates, fit.gate)
        self.note.say("")
        self.form.setRowVisible(self.nominal, fit.ends_mm is not None or not new)
        self.show()
        self.name.setFocus(Qt.FocusReason.OtherFocusReason)
        self.name.selectAll()

    def _offer(self, gates: tuple[Gate, ...], chosen: str) -> None:
        self.gate.clear()
        self.gate.addItem(self.tr("the first that redoes the part"), "")
        for gate in gates:
            self.gate.addItem(gate.name, gate.id)
        self.gate.setCurrentIndex(max(0, self.gate.findData(chosen)))

    def finish(self) -> None:
        """Hand the dimension over, or say what is missing."""
        name = self.name.text().strip()
        if not name:
            self.note.say(phrase("name-missing"))
            self.name.setFocus(Qt.FocusReason.OtherFocusReason)
        elif self._fit is not None:
            self.ready.emit(self._made(self._fit, name))

    def _made(self, fit: Fit, name: str) -> Fit:
        return replace(
            fit,
            name=name,
            kind=FitKind(self.kind.currentData()),
            axis=Axis(self.axis.currentData()),
            nominal_mm=self._nominal(fit),
            tolerance_mm=self._rounded(self.tolerance.value()) or None,
            clearance_mm=self._rounded(self.play.value()) if self.play_wanted.isChecked() else None,
            gate=str(self.gate.currentData()),
        )

    def _nominal(self, fit: Fit) -> float | None:
        """As entered; what was not told and not changed stays untold."""
        entered = self._rounded(self.nominal.value())
        same = fit.wanted_mm is None or entered == self._rounded(fit.wanted_mm)
        return fit.nominal_mm if same and fit.wanted_mm is not None else entered

    @staticmethod
    def _rounded(value: float) -> float:
        return round(value, 3)


def _kinds(owner: QWidget) -> dict[str, str]:
    return {
        FitKind.HOLE: owner.tr("a hole something goes into"),
        FitKind.SLOT: owner.tr("a slot something goes into"),
        FitKind.PEG: owner.tr("a peg or tab that goes into something"),
        FitKind.OTHER: owner.tr("a distance to be kept"),
    }
