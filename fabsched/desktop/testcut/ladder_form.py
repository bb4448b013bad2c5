"""What a ladder of test cuts is for: laser, material and thickness, and where it lies."""

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QFormLayout, QWidget

from fabsched.desktop.shop.editors import Figure
from fabsched.desktop.shop.names import Unit
from fabsched.desktop.steady_fields import Count, OneOf
from fabsched.files.toml_read import Number
from fabsched.model.materials import Cutting, SheetMaterial, usable
from fabsched.model.shop import Laser, Shop
from fabsched.session.ladder_request import LadderRequest
from fabsched.session.wording import phrase

THICKNESS = Number("3.0", 0.05, 100)
FEED = Number("10.0", 0, 2000)
"""Thicknesses and feeds that can be asked for, as in the material tables; no feed is what is known."""
MOST_PASSES = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A ladder that is wanted.

    Attributes:
        laser: id of the machine.
        material: id of the sheet material.
        thickness_mm: of the sheet.
    """

    laser: str
    material: str
    thickness_mm: float


class LadderForm(QWidget):
    """The fields.

    Signals:
        edited: something else is wanted.
    """

    edited = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make them empty."""
        super().__init__(parent)
        self._shop = Shop()
        self.laser, self.material = OneOf(self), OneOf(self)
        self.thickness = Figure(THICKNESS, Unit(" mm"), self)
        self.feed, self.passes = Figure(FEED, Unit(" mm/s"), self), Count(self)
        self._dress()
        self._lay_out()
        for choice in (self.laser, self.material):
            choice.activated.connect(lambda _place: self.edited.emit())
        for box in (self.thickness, self.feed):
            box.valueChanged.connect(lambda _value: self.edited.emit())
        self.passes.valueChanged.connect(lambda _count: self.edited.emit())

    def _dress(self) -> None:
        self.laser.setToolTip(self.tr("The laser the sheet is cut on"))
        self.thickness.setToolTip(self.tr("Thickness of the sheet the ladder is cut out of"))
        self.material.setToolTip(self.tr("What must never be cut is not among them"))
        self.feed.setSpecialValueText(self.tr("as known"))
        self.feed.setToolTip(self.tr("The feed in the middle of the ladder"))
        self.passes.setRange(0, MOST_PASSES)
        self.passes.setSpecialValueText(self.tr("as known"))
        self.passes.setToolTip(self.tr("How often each line is run over"))
        self.passes.setKeyboardTracking(False)

    def _lay_out(self) -> None:
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.addRow(self.tr("&Laser"), self.laser)
        form.addRow(self.tr("&Material"), self.material)
        form.addRow(self.tr("&Thickness"), self.thickness)
        form.addRow(self.tr("&Feed"), self.feed)
        form.addRow(self.tr("&Passes"), self.passes)

    @property
    def chosen(self) -> tuple[Laser, SheetMaterial] | None:
        """Machine and material; None while the shop has none."""
        laser = next((x for x in self._shop.lasers if x.id == self.laser.currentData()), None)
        tables = self._shop.sheet_materials
        material = next((m for m in tables if m.id == self.material.currentData()), None)
        return (laser, material) if laser and material else None

    def request(self, target: Path) -> LadderRequest | None:
        """Ask for the ladder; None while the shop has no laser.

        Args:
            target: folder the files go to.
        """
        if self.chosen is None:
            return None
        laser, material = self.chosen
        return LadderRequest(
            laser=laser,
            material=material,
            thickness_mm=self.thickness.figure,
            feed_mm_s=self.feed.figure or None,
            passes=self.passes.value() or None,
            target=target,
        )

    def offer(self, shop: Shop) -> None:
        """Offer the lasers and materials of a shop; what was chosen stays if it is still there."""
        self._shop = shop
        disputed = {m.id for m in shop.sheet_materials if m.cutting is Cutting.DISPUTED}
        _fill(self.laser, [(laser.id, laser.name) for laser in shop.lasers])
        names = [
            (i, phrase("disputed", material=i) if i in disputed else i)
            for i in usable(shop.sheet_materials)
        ]
        _fill(self.material, names)

    def want(self, wanted: Wanted) -> None:
        """Choose something else; nothing is told."""
        for choice, ident in ((self.laser, wanted.laser), (self.material, wanted.material)):
            if (place := choice.findData(ident)) >= 0:
                choice.setCurrentIndex(place)
        self.thickness.show_figure(wanted.thickness_mm)
        self.feed.show_figure(0.0)
        with QSignalBlocker(self.passes):
            self.passes.setValue(0)


def _fill(choice: OneOf, entries: list[tuple[str, str]]) -> None:
    """Offer other entries where they differ."""
    if entries == [(choice.itemData(i), choice.itemText(i)) for i in range(choice.count())]:
        return
    before = choice.currentData()
    choice.clear()
    for ident, name in entries:
        choice.addItem(name, ident)
    choice.setCurrentIndex(max(0, choice.findData(before)))
