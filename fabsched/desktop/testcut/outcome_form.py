"""What came of a ladder of test cuts: which squares fell out, and how wide they are."""

from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFormLayout, QWidget

from fabsched.desktop.shop.editors import Figure
from fabsched.desktop.shop.names import Unit
from fabsched.desktop.steady_fields import OneOf
from fabsched.files.toml_read import Number
from fabsched.model.ladder import KERFS_MM, SQUARE_MM, Ladder, Outcome
from fabsched.session.wording import figure, phrase

WIDTH = Number("9.8", 0, 2 * SQUARE_MM)
"""Widths that can be entered; 0 is not measured."""
UNTOLD = -1
"""Nothing was chosen yet."""


class OutcomeForm(QWidget):
    """The fields.

    Signals:
        edited: something else was seen.
    """

    edited = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make them empty."""
        super().__init__(parent)
        self._ladder: Ladder | None = None
        self.fell = OneOf(self)
        self.square = Figure(WIDTH, Unit(" mm"), self)
        self.hole = Figure(WIDTH, Unit(" mm"), self)
        self.fits = OneOf(self)
        self._dress()
        self._lay_out()
        for choice in (self.fell, self.fits):
            choice.activated.connect(lambda _place: self.edited.emit())
        for box in (self.square, self.hole):
            box.valueChanged.connect(lambda _value: self.edited.emit())

    def _dress(self) -> None:
        self.fell.setToolTip(
            self.tr(
                "The fastest square of the upper row that fell out by itself; count its notches"
            )
        )
        self.fits.setToolTip(
            self.tr("Without a calliper: the narrowest hole of the lower row that square goes into")
        )
        for box in (self.square, self.hole):
            box.setSpecialValueText(self.tr("not measured"))
        self.square.setToolTip(self.tr("Side of that square, by calliper"))
        self.hole.setToolTip(self.tr("Side of the hole it left, by calliper"))
        self.fits.addItem(self.tr("not tried"), UNTOLD)
        for number, kerf in enumerate(KERFS_MM, start=1):
            self.fits.addItem(phrase("ladder-hole", number=number, kerf=figure(kerf)), number)

    def _lay_out(self) -> None:
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.addRow(self.tr("Fastest &out"), self.fell)
        form.addRow(self.tr("S&quare"), self.square)
        form.addRow(self.tr("&Hole"), self.hole)
        form.addRow(self.tr("&Goes into"), self.fits)

    def show_ladder(self, ladder: Ladder | None) -> None:
        """Ask about another ladder; what was entered of one before is gone."""
        if ladder == self._ladder:
            return
        self._ladder = ladder
        self.fell.clear()
        self.fell.addItem(self.tr("not looked yet"), UNTOLD)
        for number, feed in enumerate(ladder.feeds_mm_s if ladder else (), start=1):
            self.fell.addItem(phrase("ladder-square", number=number, feed=figure(feed)), number)
        self.fell.addItem(self.tr("none fell out"), 0)
        self.fits.setCurrentIndex(0)
        for box in (self.square, self.hole):
            box.show_figure(0.0)
        self.setEnabled(ladder is not None)

    def outcome(self, day: date) -> Outcome | None:
        """What was seen; None until it was told which squares fell out.

        Args:
            day: of the test cut.
        """
        fell, fits = self.fell.currentData(), self.fits.currentData()
        if fell is None or fell == UNTOLD:
            return None
        return Outcome(
            fell=fell,
            day=day,
            square_mm=self.square.figure or None,
            hole_mm=self.hole.figure or None,
            fits=None if fits == UNTOLD else fits,
        )
