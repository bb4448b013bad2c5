"""What has to be in hand, and room for wires: each told, and changed in place."""

from functools import partial

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from fabsched.advise.wiring import wiring_room
from fabsched.desktop.advice.hand_forms import ChannelForm, ComponentForm
from fabsched.desktop.advice.rows import Line, Lines, Press
from fabsched.desktop.desk import Desk
from fabsched.desktop.places import Place
from fabsched.desktop.words import error_text
from fabsched.model.project import Channel, Component, Project
from fabsched.session.edits import Edit
from fabsched.session.hand_edits import (
    CHANGE_LABEL,
    REMOVE_LABEL,
    with_channel,
    with_component,
    without_channel,
    without_component,
)
from fabsched.session.wiring_words import wiring_text
from fabsched.session.wording import phrase


class InHand(QWidget):
    """Follows the components and channels of a desk's project.

    Args:
        desk: whose project.
        parent: Qt owner.
    """

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__(parent)
        self._desk = desk
        self._shown: tuple[tuple[Component, ...], tuple[Channel, ...]] = ((), ())
        self.components = Lines(self.tr("What it takes"), self)
        self.wirings = Lines(self.tr("Room for wires"), self)
        self.component_form, self.channel_form = ComponentForm(self), ChannelForm(self)
        self.add_component = QPushButton(self.tr("Add something to have in hand\u2026"), self)
        self.add_channel = QPushButton(self.tr("Add a channel for wires\u2026"), self)
        self.add_component.setToolTip(
            self.tr("Screws, sensors, wire: what is not made but has to be there")
        )
        self.add_channel.setToolTip(self.tr("See whether the wires go through a duct or a hole"))
        self._lay_out()
        self.add_component.clicked.connect(lambda: self.begin_component(None))
        self.add_channel.clicked.connect(lambda: self.begin_channel(None))
        self.component_form.ready.connect(self._keep_component)
        self.channel_form.ready.connect(self._keep_channel)

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        for button in (self.add_component, self.add_channel):
            buttons.addWidget(button)
        buttons.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self.components, self.component_form, self.wirings, self.channel_form):
            column.addWidget(widget)
        column.addLayout(buttons)

    def follow(self) -> None:
        """Show what the project needs now; lists that stay the same are left alone."""
        session = self._desk.session
        self.setVisible(session is not None)
        if session is None:
            return
        project = session.project
        shown = (project.components, project.channels)
        if shown != self._shown:
            self._shown = shown
            self.components.say([self._component_line(each) for each in project.components])
            self.wirings.say([self._channel_line(each) for each in project.channels])

    def _component_line(self, each: Component) -> Line:
        told = phrase(
            "in-hand-spares" if each.spares else "in-hand",
            what=each.name,
            count=each.count,
            spares=each.spares,
            have=each.have,
        )
        change = partial(self.begin_component, each.id)
        return self._line(told, each.name, change, without_component(each.id))

    def _channel_line(self, each: Channel) -> Line:
        told = wiring_text(wiring_room(each.cables_mm, each.size_mm), each.name)
        change = partial(self.begin_channel, each.id)
        return self._line(told, each.name, change, without_channel(each.id))

    def _line(self, text: str, name: str, change: "partial[None]", out: Edit) -> Line:
        remove = Press(
            self.tr("Remove"), partial(self._change, REMOVE_LABEL, out), self.tr("Remove %s") % name
        )
        tip = self.tr("Change %s") % name
        return Line(text, button=self.tr("Change"), deed=change, tip=tip, more=(remove,))

    def begin_component(self, ident: str | None) -> None:
        """Open the form for a component, or for a new one."""
        if (project := self._project()) is not None:
            component = next((c for c in project.components if c.id == ident), None)
            self.component_form.begin(component, _taken(project), project.items)

    def begin_channel(self, ident: str | None) -> None:
        """Open the form for a channel, or for a new one."""
        if (project := self._project()) is not None:
            channel = next((c for c in project.channels if c.id == ident), None)
            self.channel_form.begin(channel, _taken(project))

    def _keep_component(self, component: Component) -> None:
        if self._change(CHANGE_LABEL, with_component(component)):
            self.component_form.hide()
            self.add_component.setFocus()
        else:
            self.component_form.note.say(self._refused())

    def _keep_channel(self, channel: Channel) -> None:
        if self._change(CHANGE_LABEL, with_channel(channel)):
            self.channel_form.hide()
            self.add_channel.setFocus()
        else:
            self.channel_form.note.say(self._refused())

    def _change(self, label: str, edit: Edit) -> bool:
        return self._desk.change(Place.PARTS, label, edit)

    def _refused(self) -> str:
        errors = self._desk.errors(Place.PARTS, Place.PROJECT)
        return " ".join(error_text(error) for error in errors)

    def _project(self) -> Project | None:
        session = self._desk.session
        return session.project if session is not None else None


def _taken(project: Project) -> frozenset[str]:
    """Ids that are in use."""
    everything = (*project.items, *project.components, *project.channels)
    return frozenset(each.id for each in everything)
