"""Noting what a critical dimension came out as, and telling the log of it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QCheckBox, QWidget

from fabsched.desktop.dimensions.fields import Card, choice, length
from fabsched.model.project import Fit, Gate
from fabsched.session.copy_request import has_ladder, passed
from fabsched.session.fit_outcomes import PLAY_MM, is_right, outcome_text, saying_of
from fabsched.session.sayings import Saying
from fabsched.session.wording import pointed

LONGEST_MM = 10_000.0
UNTRIED = "untried"
"""Where no copy of a ladder was tried."""


class MeasureForm(Card):
    """The form.

    Signals:
        ready: the dimension with what was measured, what is told to the log, or None, and whether its
            part is to be drawn like the copy that fits.
    """

    ready = Signal(object, object, bool)

    def __init__(self, now: Callable[[], datetime], parent: QWidget | None = None) -> None:
        """Make an empty form, which is hidden.

        Args:
            now: the clock.
            parent: Qt owner.
        """
        super().__init__("", parent)
        self.keep.setText(self.tr("Note it"))
        self._now = now
        self._fit: Fit | None = None
        self._gate: Gate | None = None
        self._tries = False
        text = self.tr("What the last one measures, by calliper; leave it if nobody measured")
        self.measured = length(self, text, 0.0, LONGEST_MM, 0.01)
        self.measured.setSpecialValueText(self.tr("not measured"))
        self.trial = choice(self, self.tr("Which copy of the coupon fits as it should"), {})
        self.draw = QCheckBox(self.tr("D&raw the part like it"), self)
        self.draw.setToolTip(
            self.tr("Give the part the play of that copy, in a file of its own; undo takes it back")
        )
        self.log = choice(self, self.tr("What the log is told of the check"), {})
        self.outcome = self.told(self)
        self.outcome.setAccessibleName(self.tr("What the measure comes to"))
        self.form.addRow(self.tr("&Measured"), self.measured)
        self.form.addRow(self.tr("&Copy that fits"), self.trial)
        self.form.addRow("", self.draw)
        self.form.addRow(self.tr("&Log"), self.log)
        self.column.addLayout(self.form)
        self.column.addWidget(self.outcome)
        self.foot(self.measured, self.trial, self.draw, self.log)
        self.measured.valueChanged.connect(self._follow)
        self.trial.activated.connect(self._follow)
        self.keep.clicked.connect(self.finish)

    def begin(self, fit: Fit, gate: Gate | None, *, tries: bool = False) -> None:
        """Open for a dimension.

        Args:
            fit: as it is.
            gate: the check the measure decides, while it is open; None tells the log nothing.
            tries: whether that is the trying of the coupon: a copy that fits has passed it.
        """
        self._fit, self._gate, self._tries = None, gate, tries
        self.draw.setChecked(True)
        self.measured.setValue(fit.measured_mm or 0.0)
        self._offer_trial(fit)
        self._offer_log(gate)
        self._fit = fit
        self.form.setRowVisible(self.trial, has_ladder(fit))
        self.form.setRowVisible(self.log, gate is not None)
        self._follow()
        self.show()
        self.measured.setFocus(Qt.FocusReason.OtherFocusReason)
        self.measured.selectAll()

    def _offer_trial(self, fit: Fit) -> None:
        self.trial.clear()
        self.trial.addItem(self.tr("nobody tried"), UNTRIED)
        for number, play in enumerate(PLAY_MM, start=1):
            self.trial.addItem(pointed(f"{number}: {play:+.1f} mm"), play)
        self.trial.setCurrentIndex(max(0, self.trial.findData(fit.fitting_mm)))

    def _offer_log(self, gate: Gate | None) -> None:
        self.log.clear()
        self.log.addItem(self.tr("is told nothing"), "")
        if gate is not None:
            self.log.addItem(self.tr("{name}: all is well").format(name=gate.name), "good")
            self.log.addItem(self.tr("{name}: found a fault").format(name=gate.name), "bad")

    def _entered(self, fit: Fit) -> Fit:
        measured_mm = round(self.measured.value(), 3) or None
        return replace(fit, measured_mm=measured_mm, fitting_mm=self._play)

    def _follow(self) -> None:
        """Say what the entries come to, and propose what the log is told."""
        if self._fit is None:
            return
        fit = self._entered(self._fit)
        self.outcome.setText(outcome_text(fit))
        self.outcome.setVisible(bool(self.outcome.text()))
        self.form.setRowVisible(self.draw, bool(self._play))
        right = True if self._tries and self._play is not None else is_right(fit)
        told = {True: "good", False: "bad", None: ""}[right]
        self.log.setCurrentIndex(max(0, self.log.findData(told)))

    @property
    def _play(self) -> float | None:
        """Play of the copy that fits; None if nobody tried."""
        trial = self.trial.currentData()
        return trial if isinstance(trial, float) else None

    def _saying(self, gate: Gate, fit: Fit, *, good: bool) -> Saying:
        if good and self._tries and self._play is not None:
            return passed(gate, fit, self._play, self._now())
        return saying_of(gate, fit, self._now(), good=good)

    def finish(self) -> None:
        """Hand over what was entered."""
        if self._fit is None:
            return
        self.measured.interpretText()
        fit, told = self._entered(self._fit), self.log.currentData()
        saying: Saying | None = None
        if self._gate is not None and told:
            saying = self._saying(self._gate, fit, good=told == "good")
        self.ready.emit(fit, saying, bool(self._play) and self.draw.isChecked())
