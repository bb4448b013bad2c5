"""Hours as a painted week with their text below it, and busy times from a calendar file."""

from collections.abc import Callable
from functools import lru_cache

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QWidget

from fabsched.desktop.hours.week_view import WeekView
from fabsched.desktop.line_field import LineField
from fabsched.desktop.prose import Prose
from fabsched.desktop.shop.editors import Editor
from fabsched.desktop.shop.names import tr
from fabsched.desktop.words import field_text
from fabsched.files.opening_hours import check_hours
from fabsched.model.errors import InputError
from fabsched.model.shop import Calendar
from fabsched.session.week import Week, text_of, week_of

known_week: Callable[[str], Week | None] = lru_cache(maxsize=64)(week_of)
"""Weeks are asked for again with every change of the shop."""


class HoursEditor(Editor):
    """Hours: painted where they are the same every week, written otherwise."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__(parent)
        self._text = ""
        self.week = WeekView(self)
        self.line = LineField(self)
        self.hint = Prose(self, tr("Not the same every week, so that they are shown as text only."))
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self.stops = [self.week, self.line]
        for place, widget in enumerate((self.week, self.hint, self.line)):
            self.column.insertWidget(place, widget)
        self.week.changed.connect(self._painted)
        self.line.editingFinished.connect(self._written)

    def describe(self, label: str, tip: str) -> None:
        """The week keeps its own tooltip, which says how to paint."""
        del label
        self.line.setAccessibleName(tr("Hours as text"))
        self.line.setToolTip(f"{tip}\n{tr('Write them like')} Mo-Fr 17:00-22:00; Sa 10:00-18:00")

    def show_value(self, value: str) -> None:
        """Show what is set now."""
        self._text = value
        self.line.setText(value)
        self._show_week()

    def _show_week(self) -> None:
        week = known_week(self._text)
        self.week.setVisible(week is not None)
        self.hint.setVisible(week is None)
        if week is not None:
            self.week.show_week(week)

    def _painted(self, week: Week) -> None:
        self.refuse("")
        self.edited.emit(text_of(week))

    def _written(self) -> None:
        self.line.setModified(False)
        text = self.line.text().strip()
        if text == self._text:
            self.refuse("")
            return
        try:
            check_hours(text, "")
        except InputError as error:
            self.refuse(field_text([error]))
            return
        self.refuse("")
        self.edited.emit(text)


Ask = Callable[[Callable[[Calendar], None]], None]
"""Asks for a calendar file; what it is given is called with it, or never."""


class BusyEditor(Editor):
    """Which calendar file says when somebody or something is not to be had."""

    def __init__(self, ask: Ask, parent: QWidget | None = None) -> None:
        """Make an empty one.

        Args:
            ask: asks for a file.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.about = Prose(self)
        self.about.setTextFormat(Qt.TextFormat.PlainText)
        self.read = QPushButton(tr("Read busy times from a calendar file\u2026"), self)
        self.forget = QPushButton(tr("Forget them"), self)
        self.column.insertWidget(0, self.about)
        for button in (self.read, self.forget):
            button.setAccessibleName(button.text())
            self.add_control(button)
        self.add_room()
        self.read.clicked.connect(lambda: ask(self.edited.emit))
        self.forget.clicked.connect(self._forget)

    def _forget(self) -> None:
        self.read.setFocus(Qt.FocusReason.OtherFocusReason)
        self.edited.emit(None)

    def show_value(self, value: Calendar | None) -> None:
        """Show what is set now."""
        self.forget.setVisible(value is not None)
        self.about.setText(value.file if value else "")
        self.about.setVisible(value is not None)

    def tell(self, text: str) -> None:
        """Say what the calendar comes to."""
        if text:
            self.about.setText(text)
