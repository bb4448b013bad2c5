"""Noting what a critical dimension came out as, and telling the log of it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from fabsched.desktop.dimensions.fields import Card, choice, length
from fabsched.model.project import Fit, FitKind, Gate
from fabsched.session.fit_outcomes import PLAY_MM, is_right, outcome_text, saying_of
from fabsched.session.sayings import Saying
from fabsched.session.wording import pointed

LONGEST_MM = 10_000.0
UNTRIED = "untried"
"""Where no copy of a ladder was tried."""


class MeasureForm(Card):
    """The form.

    Signals:
        ready: the dimension with what was measured, and what is told to the log, or None.
    """

    ready = Signal(object, object)

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
        text = self.tr("What the last one measures, by calliper; leave it if nobody measured")
        self.measured = length(self, text, 0.0, LONGEST_MM, 0.01)
        self.measured.setSpecialValueText(self.tr("not measured"))
        self.trial = choice(self, self.tr("Which copy of the coupon fits as it should"), {})
        self.log = choice(self, self.tr("What the log is told of the check"), {})
        self.outcome = self.told(self)
        self.outcome.setAccessibleName(self.tr("What the measure comes to"))
        self.form.addRow(self.tr("&Measured"), self.measured)
        self.form.addRow(self.tr("&Copy that fits"), self.trial)
        self.form.addRow(self.tr("&Log"), self.log)
        self.column.addLayout(self.form)
        self.column.addWidget(self.outcome)
        self.foot(self.measured, self.trial, self.log)
        self.measured.valueChanged.connect(self._follow)
        self.trial.activated.connect(self._follow)
        self.keep.clicked.connect(self.finish)

    def begin(self, fit: Fit, gate: Gate | None) -> None:
        """Open for a dimension.

        Args:
            fit: as it is.
            gate: the check the measure decides, while it is open; None tells the log nothing.
        """
        self._fit, self._gate = None, gate
        self.measured.setValue(fit.measured_mm or 0.0)
        self._offer_trial(fit)
        self._offer_log(gate)
        self._fit = fit
        ladder = fit.clearance_mm is not None and fit.kind is not FitKind.OTHER
        self.form.setRowVisible(self.trial, ladder)
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
        trial = self.trial.currentData()
        return replace(
            fit,
            measured_mm=round(self.measured.value(), 3) or None,
            fitting_mm=trial if isinstance(trial, float) else None,
        )

    def _follow(self) -> None:
        """Say what the entries come to, and propose what the log is told."""
        if self._fit is None:
            return
        fit = self._entered(self._fit)
        self.outcome.setText(outcome_text(fit))
        self.outcome.setVisible(bool(self.outcome.text()))
        right = is_right(fit)
        told = {True: "good", False: "bad", None: ""}[right]
        self.log.setCurrentIndex(max(0, self.log.findData(told)))

    def finish(self) -> None:
        """Hand over what was entered."""
        if self._fit is None:
            return
        self.measured.interpretText()
        fit, told = self._entered(self._fit), self.log.currentData()
        saying: Saying | None = None
        if self._gate is not None and told:
            saying = saying_of(self._gate, fit, self._now(), good=told == "good")
        self.ready.emit(fit, saying)
