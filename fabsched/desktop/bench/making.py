"""Everything the window has for the time while it is being made, put together."""

from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication, QWidget

from fabsched.desktop.asking import Asks
from fabsched.desktop.bench.asker import Asker
from fabsched.desktop.bench.block_menu import BlockMenu
from fabsched.desktop.bench.calendar_file import CalendarFile
from fabsched.desktop.bench.choices_page import ChoicesPage
from fabsched.desktop.bench.keeping_up import KeepingUp
from fabsched.desktop.bench.log_page import LogPage
from fabsched.desktop.bench.notices import Notices
from fabsched.desktop.bench.small_window import BenchWindow
from fabsched.desktop.bench.teller import Teller
from fabsched.desktop.bench.told_bar import ToldBar
from fabsched.desktop.desk import Desk
from fabsched.desktop.plan_panel import PlanPanel
from fabsched.session.wording import phrase


class Making(QObject):
    """Makes pages for a plan panel, a menu for its timeline, and what stands beside.

    Attributes:
        teller: writes down what happens.
        log: the page of what was told.
        choices: the page of what can be done after a failure.
        small: the window at the bench.
        notices: tells when hands are needed.
        bar: what was told just now; to be laid out by the window.
        calendar: the calendar file.
        keeping_up: has the rest planned again as time goes by.
    """

    def __init__(self, desk: Desk, plan: PlanPanel, asks: Asks, parent: QWidget) -> None:
        """Put it together.

        Args:
            desk: whose project.
            plan: the panel of its plan.
            asks: asks for files.
            parent: the window.
        """
        super().__init__(parent)
        self._plan, self._window = plan, parent
        self.teller = Teller(desk, self)
        asker = Asker(desk, self.teller, parent)
        self.menu = BlockMenu(desk, plan.timeline, asker)
        self.log = LogPage(desk, asker, parent)
        self.choices = ChoicesPage(desk, self.teller, parent)
        self.small = BenchWindow(desk, self.teller, plan.timeline)
        self.notices = Notices(desk, plan.timeline, parent)
        self.bar = ToldBar(desk, asker, parent)
        self.calendar = CalendarFile(desk, asks, self)
        self.keeping_up = KeepingUp(desk, self)
        self.choices.wanted.connect(self.show_choices)
        self.choices.settled.connect(self._leave_choices)
        self.notices.due.connect(self._notice)
        self.calendar.written.connect(self._tell_written)

    def show_choices(self) -> None:
        """Show what can be done after a failure, wherever one looks."""
        self._plan.show_page(self.choices)
        if self.small.isActiveWindow():
            self._window.raise_()
            self._window.activateWindow()

    def switch_notices(self) -> None:
        """Switch notices on or off."""
        self.notices.want(wanted=not self.notices.wanted)

    def _leave_choices(self) -> None:
        """Go back to the timeline from the page of choices."""
        if self._plan.pages.currentWidget() is self.choices:
            self._plan.show_lanes()

    def _notice(self, text: str) -> None:
        self.bar.show_notice(f"{phrase('notice')}. {text}")
        QApplication.alert(self._window)

    def _tell_written(self, path: Path) -> None:
        self.bar.show_notice(phrase("calendar-saved", path=str(path)))
