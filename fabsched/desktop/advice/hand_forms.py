"""Forms for what has to be in hand, and for channels that wires go through."""

from collections.abc import Iterable
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QSpinBox, QWidget

from fabsched.advise.wiring import wiring_room
from fabsched.desktop.dimensions.fields import Card, length
from fabsched.desktop.item_menu import ItemMenu
from fabsched.desktop.line_field import LineField
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.steady_fields import Count
from fabsched.files.fits_toml import MOST_COUNT, MOST_MM
from fabsched.files.names import free_name, slug
from fabsched.model.project import Channel, Component, Part, Work
from fabsched.session.hand_edits import cables_of, cables_text
from fabsched.session.wiring_words import wiring_text
from fabsched.session.wording import phrase

LEAST_MM = 0.1
"""Thinnest cable and narrowest channel, as the project file takes them."""
USUAL_WIDTH_MM = 8.0
"""What a new channel starts with (own choice)."""
MOST_DAYS = 365
"""As the project file takes them."""


class HandForm(Card):
    """What both forms have: a name that must not be missing, and a line that says what is.

    Signals:
        ready: the record as it was entered.
    """

    ready = Signal(object)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        """Make an empty form, which is hidden.

        Args:
            name: what the name is of: tooltip, and name for screen readers.
            parent: Qt owner.
        """
        super().__init__("", parent)
        self._taken: frozenset[str] = frozenset()
        self.name = LineField(self)
        self.name.setToolTip(name)
        self.name.setAccessibleName(name)
        self.note = Note(Tone.ERROR, self)
        self.form.addRow(self.tr("Na&me"), self.name)
        self.column.addLayout(self.form)
        self.keep.clicked.connect(self.finish)
        self.name.returnPressed.connect(self.finish)

    def finish(self) -> None:
        """Hand the record over, or say what is missing."""

    def _open(self, name: str, taken: Iterable[str], *, new: bool) -> None:
        self._taken = frozenset(taken)
        self.keep.setText(self.tr("Add") if new else self.tr("Change"))
        self.name.setText(name)
        self.note.say("")
        self.show()
        self.name.setFocus(Qt.FocusReason.OtherFocusReason)

    def _named(self) -> str:
        """The name, or nothing once it has been said that it is missing."""
        name = self.name.text().strip()
        if not name:
            self.note.say(phrase("name-missing"))
            self.name.setFocus(Qt.FocusReason.OtherFocusReason)
        return name

    def _ident(self, name: str) -> str:
        return free_name(slug(name), self._taken)


class ChannelForm(HandForm):
    """Wires and what they go through; tells at once whether there is room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty form, which is hidden."""
        super().__init__(self.tr("What the channel is called"), parent)
        self._channel: Channel | None = None
        self.cables = LineField(self)
        cables = self.tr("Outer diameters of the wires in mm, insulation included")
        self.cables.setToolTip(cables + self.tr(": write 1.3; 2.1 or 6 \u00d7 1.3"))
        self.cables.setAccessibleName(cables)
        self.cables.setPlaceholderText(self.tr("6 \u00d7 1.3; 2.1"))
        width = self.tr("Width of the channel; its diameter if it is round")
        self.width_mm = length(self, width, LEAST_MM, MOST_MM, 0.5)
        height = self.tr("Height of the channel; the lowest value means that it is round")
        self.height_mm = length(self, height, 0.0, MOST_MM, 0.5)
        self.height_mm.setSpecialValueText(self.tr("round"))
        self.room = self.told(self)
        self.form.addRow(self.tr("&Wires, mm"), self.cables)
        self.form.addRow(self.tr("Wi&dth"), self.width_mm)
        self.form.addRow(self.tr("&Height"), self.height_mm)
        self.column.addWidget(self.room)
        self.column.addWidget(self.note)
        self.foot(self.name, self.cables, self.width_mm, self.height_mm)
        self.cables.textChanged.connect(self._weigh)
        self.cables.returnPressed.connect(self.finish)
        for field in (self.width_mm, self.height_mm):
            field.valueChanged.connect(self._weigh)

    def begin(self, channel: Channel | None, taken: Iterable[str]) -> None:
        """Open for a channel, or for a new one.

        Args:
            channel: what is changed; None for something new.
            taken: ids that are in use.
        """
        self._channel = channel
        self.cables.setText(cables_text(channel.cables_mm) if channel else "")
        self.width_mm.setValue(channel.width_mm if channel else USUAL_WIDTH_MM)
        self.height_mm.setValue(channel.height_mm if channel else 0.0)
        self._open(channel.name if channel else "", taken, new=channel is None)

    def _weigh(self) -> None:
        """Say whether what is entered fits."""
        cables = self._cables()
        size = (self.width_mm.value(), self.height_mm.value())
        self.room.setText(
            wiring_text(wiring_room(cables, size if size[1] else size[:1])) if cables else ""
        )

    def _cables(self) -> tuple[float, ...]:
        cables = cables_of(self.cables.text())
        return cables if all(LEAST_MM <= each <= MOST_MM for each in cables) else ()

    def finish(self) -> None:
        """Hand the channel over, or say what is missing."""
        if not (name := self._named()):
            return
        if not (cables := self._cables()):
            self.note.say(self.tr("Write the diameters of the wires, such as 6 \u00d7 1.3; 2.1"))
            self.cables.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        kept = self._channel or Channel(id="", name="", cables_mm=cables, width_mm=1.0)
        made = replace(
            kept,
            id=kept.id or self._ident(name),
            name=name,
            cables_mm=cables,
            width_mm=self.width_mm.value(),
            height_mm=self.height_mm.value(),
        )
        self.ready.emit(made)


class ComponentForm(HandForm):
    """Something that is bought: how many, spares included, what is there, and how it goes in."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty form, which is hidden."""
        super().__init__(self.tr("What it is, with its size"), parent)
        self._component: Component | None = None
        self.count = _whole(self, self.tr("How many the project takes"), 1, MOST_COUNT)
        spares = self.tr("How many more one wants in hand: small things get lost and break")
        self.spares = _whole(self, spares, 0, MOST_COUNT)
        self.have = _whole(self, self.tr("How many are in hand"), 0, MOST_COUNT)
        days = self.tr("Working days from ordering to having it; 0 if a shop nearby sells it")
        self.days = _whole(self, days, 0, MOST_DAYS)
        self.days.setSuffix(self.tr(" days"))
        self.uses = ItemMenu(self.tr("What takes it; nothing means from the beginning"), self)
        self.way = LineField(self)
        way = self.tr("How it goes in where that is easily mixed up: polarity, which side is up")
        self.way.setToolTip(way)
        self.way.setAccessibleName(way)
        rows: tuple[tuple[str, QWidget], ...] = (
            (self.tr("&Taken"), self.count),
            (self.tr("&Spares"), self.spares),
            (self.tr("In &hand"), self.have),
            (self.tr("&Delivery"), self.days),
            (self.tr("&For"), self.uses),
            (self.tr("M&ixed up"), self.way),
        )
        for text, field in rows:
            label = QLabel(text, self)
            label.setBuddy(field)
            self.form.addRow(label, field)
        self.column.addWidget(self.note)
        self.foot(self.name, *(field for _, field in rows))

    def begin(
        self, component: Component | None, taken: Iterable[str], items: Iterable[Part | Work]
    ) -> None:
        """Open for a component, or for a new one.

        Args:
            component: what is changed; None for something new.
            taken: ids that are in use.
            items: parts, work and gates that may take it.
        """
        self._component = component
        shown = component or Component(id="", name="")
        self.count.setValue(shown.count)
        self.spares.setValue(shown.spares)
        self.have.setValue(shown.have)
        self.days.setValue(shown.delivery_days)
        self.uses.offer({each.id: each.name for each in items}, shown.needed_by)
        self.way.setText(shown.note)
        self._open(shown.name, taken, new=component is None)

    def finish(self) -> None:
        """Hand the component over, or say what is missing."""
        if not (name := self._named()):
            return
        kept = self._component or Component(id="", name="")
        made = replace(
            kept,
            id=kept.id or self._ident(name),
            name=name,
            count=self.count.value(),
            spares=self.spares.value(),
            have=self.have.value(),
            delivery_days=self.days.value(),
            needed_by=self.uses.chosen,
            note=self.way.text().strip(),
        )
        self.ready.emit(made)


def _whole(owner: QWidget, text: str, low: int, high: int) -> QSpinBox:
    """A field for a count, `text` being tooltip and name for screen readers."""
    field = Count(owner)
    field.setRange(low, high)
    field.setToolTip(text)
    field.setAccessibleName(text)
    return field
