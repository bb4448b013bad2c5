"""The main window: puts the panels together and carries out the actions."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QMimeData, Qt
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDragLeaveEvent, QDropEvent
from PySide6.QtWidgets import (
    QMainWindow,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop import menu_entry
from fabsched.desktop.actions import add_recent, add_to_view, fill_menus, make_actions, paint_icons
from fabsched.desktop.asking import Asks, Dialogs
from fabsched.desktop.beds_page import BedsPage
from fabsched.desktop.bench.making import Making
from fabsched.desktop.calendars import CalendarBar
from fabsched.desktop.deciding import Deciding
from fabsched.desktop.desk import Desk
from fabsched.desktop.dropped import sorted_out
from fabsched.desktop.finder import Finder
from fabsched.desktop.headline import Headline
from fabsched.desktop.needs.page import NeedsPage
from fabsched.desktop.page_order import add_pages
from fabsched.desktop.part_page import PartPage
from fabsched.desktop.parts_panel import PartsPanel
from fabsched.desktop.picture import draw_plan
from fabsched.desktop.places import Place
from fabsched.desktop.plan_panel import PlanPanel
from fabsched.desktop.progress_strip import ProgressStrip
from fabsched.desktop.recovered_bar import RecoveredBar
from fabsched.desktop.remembering import Remembering
from fabsched.desktop.rows import hairline
from fabsched.desktop.saving import Saving
from fabsched.desktop.shop.page import ShopPage
from fabsched.desktop.start_view import StartView
from fabsched.desktop.testcut.page import LadderPage
from fabsched.desktop.timeline.keys import ZOOM_STEP
from fabsched.desktop.translating import language_menu
from fabsched.desktop.undo_keys import UndoKeys
from fabsched.desktop.weekends import SAMPLE, coming_deadline, copy_sample
from fabsched.desktop.words import block_text
from fabsched.desktop.work_panel import WorkPanel
from fabsched.desktop.zones import own_zone
from fabsched.files.routes import ROUTES
from fabsched.session.bench import Bench
from fabsched.session.wording import edit as edit_words
from fabsched.session.wording import phrase

LEAST_PX = (980, 640)
"""Smallest size; with its frame the window then fits a screen of 1024 by 700."""
USUAL_PX = (1360, 840)
"""Size at the start."""


class MainWindow(QMainWindow):
    """Shows a desk."""

    def __init__(self, desk: Desk, asks: Asks | None = None) -> None:
        """Make the window; the desk is closed with it.

        Args:
            desk: what it shows.
            asks: how it asks for files; by default with the platform's dialogs.
        """
        super().__init__()
        self.desk = desk
        self._asks = asks or Dialogs(self, tuple(ROUTES))
        self.actions_ = make_actions(self, self._deeds())
        fill_menus(self.menuBar(), self.actions_)
        self.headline = Headline(desk, self)
        self.parts, self.work = PartsPanel(desk, self), WorkPanel(desk, self)
        self.plan = PlanPanel(desk, self)
        self.part = PartPage(desk, self.parts.shapes, self)
        self.needs = NeedsPage(desk, self)
        self.beds = BedsPage(desk, self.ask_export, self)
        self.saving = Saving(desk, self)
        self.shop = ShopPage(desk, self._asks, self)
        self.testcut = LadderPage(desk, self._asks, self.tell, self)
        self.making = Making(desk, self.plan, self._asks, self)
        self.strip = ProgressStrip(desk, self)
        self.deciding = Deciding(
            desk, self.plan, self.part, self.headline, self._asks, self.strip.tell, self
        )
        self.making.choices.compared.connect(self.deciding.compare_part)
        add_pages(self)
        ways = (self.actions_.new, self.actions_.open, self.actions_.sample)
        self.start = StartView(desk, ways, self.open_folder, self)
        self._lay_out()
        self.actions_.entry.setEnabled(menu_entry.offered())
        self.actions_.notices.setCheckable(True)
        self.actions_.notices.setChecked(self.making.notices.wanted)
        self._connect()
        self.setAcceptDrops(True)
        self.setMinimumSize(*LEAST_PX)
        self.resize(*USUAL_PX)
        self.remembering, self.undo_keys = Remembering(self), UndoKeys(self)
        add_recent(self.menuBar(), self.actions_, self.remembering.menu)
        add_to_view(self.menuBar(), language_menu(self, self.strip.tell))
        self._follow()

    def _deeds(self) -> dict[str, Callable[[], object]]:
        return {
            "new": lambda: self.ask_new(()),
            "open": self.ask_open,
            "sample": self.ask_sample,
            "picture": self.ask_picture,
            "quit": self.close,
            "undo": self.desk.undo,
            "redo": self.desk.redo,
            "files": self.ask_files,
            "work": lambda: self.work.begin(None),
            "plan": self.desk.plan_again,
            "pin": lambda: self.plan.pinning.turn(),  # noqa: PLW0108 - the panel is made later
            "stop": self.desk.stop,
            "closer": lambda: self.plan.timeline.zoom(ZOOM_STEP),
            "wider": lambda: self.plan.timeline.zoom(1 / ZOOM_STEP),
            "whole": lambda: self.plan.timeline.fit(),  # noqa: PLW0108 - the panel is made later
            "lanes": lambda: self.plan.show_lanes(),  # noqa: PLW0108 - the panel is made later
            "steps": lambda: self.plan.show_steps(),  # noqa: PLW0108 - the panel is made later
            "part": lambda: self.plan.show_page(self.part),
            "needs": lambda: self.plan.show_page(self.needs),
            "beds": lambda: self.plan.show_page(self.beds),
            "shop": lambda: self.plan.show_page(self.shop),
            "testcut": lambda: self.plan.show_page(self.testcut),
            "odds": lambda: self.deciding.show_odds(),  # noqa: PLW0108 - made later
            "compare": lambda: self.deciding.show_compare(),  # noqa: PLW0108 - made later
            "advice": lambda: self.deciding.show_advice(),  # noqa: PLW0108 - made later
            "keep": self.desk.keep,
            "export": self.ask_export,
            "log": lambda: self.plan.show_page(self.making.log),
            "choices": lambda: self.plan.show_page(self.making.choices),
            "bench": lambda: self.making.small.bring(),  # noqa: PLW0108 - made later
            "notices": lambda: self.making.switch_notices(),  # noqa: PLW0108 - made later
            "calendar": lambda: self.making.calendar.save(),  # noqa: PLW0108 - made later
            "entry": self.add_entry,
            "find": self.find_action,
        }

    # How it is put together.

    def _lay_out(self) -> None:
        lists = QSplitter(Qt.Orientation.Vertical, self)
        for panel in (self.parts, self.work):
            lists.addWidget(panel)
            lists.setCollapsible(lists.indexOf(panel), False)
        self._halves = QSplitter(Qt.Orientation.Horizontal, self)
        for widget in (lists, self.plan):
            self._halves.addWidget(widget)
            self._halves.setCollapsible(self._halves.indexOf(widget), False)
        lists.setMinimumWidth(300)
        self._halves.setSizes([300, 700])
        for splitter in (lists, self._halves):
            splitter.setHandleWidth(14)
        project = QWidget(self)
        column = QVBoxLayout(project)
        column.setContentsMargins(16, 12, 16, 8)
        column.setSpacing(10)
        column.addWidget(self.headline)
        column.addWidget(hairline(project))
        column.addWidget(self._halves, 1)
        column.addWidget(self.making.bar)
        column.addWidget(self.strip)
        self.pages = QStackedWidget(self)
        self.pages.addWidget(self.start)
        self.pages.addWidget(project)
        self.recovered = RecoveredBar(self.open_folder, self)
        self.calendars = CalendarBar(self.desk, self)
        everything = QWidget(self)
        whole = QVBoxLayout(everything)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        for bar in (self.recovered, self.calendars):
            whole.addWidget(bar)
        whole.addWidget(self.pages, 1)
        self.setCentralWidget(everything)

    def _connect(self) -> None:
        self.headline.plan.clicked.connect(self.actions_.plan.trigger)
        self.headline.plan.setToolTip(self.actions_.plan.toolTip())
        self.parts.add.clicked.connect(self.actions_.files.trigger)
        self.parts.add.setToolTip(self.actions_.files.toolTip())
        self.work.add.setToolTip(self.actions_.work.toolTip())
        self.parts.chosen.connect(self.show_part)
        self.parts.tried.connect(self.try_cut)
        self.part.testcut.clicked.connect(lambda _on: self.try_cut(self.part.ident))
        ready = self.deciding.advice.ready
        ready.part_wanted.connect(self.show_part)
        ready.shop_wanted.connect(self.actions_.shop.trigger)
        ready.deadline_wanted.connect(self.headline.deadline.edit.setFocus)
        self.saving.begun.connect(lambda: self.strip.tell(phrase("saving-files")))
        self.saving.ended.connect(
            lambda folder, count: self.strip.tell(
                phrase("exported", count=count, folder=str(folder))
            )
        )
        self.plan.timeline.hovered.connect(self._tell_block)
        self.plan.timeline.selected.connect(self._tell_block)
        desk = self.desk
        for signal in (desk.opened, desk.changed, desk.planned, desk.started, desk.rested):
            signal.connect(self._follow)
        desk.bettered.connect(lambda _chance: self._follow())

    def _follow(self) -> None:
        """Show the right page and allow what can be done now."""
        desk, session, actions = self.desk, self.desk.session, self.actions_
        if self.pages.currentIndex() != (page := 0 if session is None else 1):
            self.pages.setCurrentIndex(page)
            (self.parts.add if page else self.start.first).setFocus()
        self.setWindowTitle(f"{session.project.name} \u2013 fabsched" if session else "fabsched")
        for action in (actions.files, actions.work, actions.plan, *actions.pages):
            action.setEnabled(session is not None)
        planned = session is not None and session.answer is not None
        looks = (actions.pin, actions.closer, actions.wider, actions.whole)
        for action in (actions.picture, actions.export, actions.calendar, actions.bench, *looks):
            action.setEnabled(planned)
        actions.stop.setEnabled(desk.busy)
        actions.keep.setEnabled(desk.best is not None)
        self.headline.plan.setEnabled(session is not None)
        undo = session.undo_label if session else None
        redo = session.redo_label if session else None
        for action, label, name in (
            (actions.undo, undo, self.tr("&Undo")),
            (actions.redo, redo, self.tr("&Redo")),
        ):
            action.setEnabled(label is not None)
            action.setText(f"{name}: {edit_words(label)}" if label else name)

    def _tell_block(self, ident: str) -> None:
        """Tell about a block at the foot; the selected one while none is under the pointer."""
        timeline = self.plan.timeline
        shown = timeline.scene
        block = shown.block(ident or timeline.chosen) if shown else None
        self.strip.tell(block_text(shown, block) if shown and block else "")

    def show_part(self, ident: str) -> None:
        """Show a part in full."""
        self.part.choose(ident)
        self.plan.show_page(self.part)

    def try_cut(self, ident: str) -> None:
        """Show the test cut for the sheet of a part."""
        self.plan.show_page(self.testcut)
        self.testcut.want_for(ident)

    def tell(self, text: str) -> None:
        """Say something at the foot."""
        self.strip.tell(text)

    # What the user asks for.

    def find_action(self) -> None:
        """Ask what to do, from a list of everything."""
        finder = Finder([a for a in self.actions_.all if a is not self.actions_.find], self)
        finder.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        finder.open()

    def add_entry(self) -> None:
        """Add the program to the applications menu."""
        made: list[Path] = []
        if self.desk.attempt(Place.FILES, lambda: made.append(menu_entry.add_here())):
            self.strip.tell(phrase("entry-added", path=str(made[0])))

    def open_folder(self, folder: Path) -> None:
        """Open a project folder."""
        self.calendars.before(folder, lambda: self._take(lambda: Bench.open(folder)))

    def _take(self, source: Callable[[], Bench]) -> None:
        """Put a project on the desk unless it, or its log, cannot be read."""
        taken: list[Bench] = []

        def take() -> None:
            taken.append(source())
            taken[0].look_at_log()

        if self.desk.attempt(Place.START, take):
            self.desk.open(taken[0])

    def ask_open(self) -> None:
        """Ask which project to open."""
        self._asks.folder(self.tr("Open a project folder"), self.open_folder)

    def ask_new(self, files: tuple[Path, ...]) -> None:
        """Ask where to make a project, which then takes these files in."""
        title = self.tr("Make a project in a new folder")
        self._asks.new_folder(title, self.tr("my-project"), lambda path: self._make(path, files))

    def _make(self, folder: Path, files: tuple[Path, ...]) -> None:
        now, zone = self.desk.now(), own_zone()
        deadline = coming_deadline(now, zone)
        self._take(
            lambda: Bench.create(folder, name="", zone=zone, deadline=deadline, files=(), now=now)
        )
        session = self.desk.session
        if files and session is not None and session.folder == folder:
            self.desk.add_files(files)

    def ask_sample(self) -> None:
        """Ask where to put a copy of the sample, and open it."""
        title = self.tr("Copy the sample into a new folder")
        self._asks.new_folder(title, SAMPLE, self._make_sample)

    def _make_sample(self, folder: Path) -> None:
        now = self.desk.now()
        if self.desk.attempt(Place.START, lambda: copy_sample(folder, now)):
            self.open_folder(folder)

    def ask_files(self) -> None:
        """Ask for part files to add."""
        self._asks.part_files(self.tr("Add part files"), self.desk.add_files)

    def ask_export(self) -> None:
        """Ask for a folder to save all files of the plan in."""
        title = self.tr("Save all files in a folder")
        self._asks.new_folder(
            title, "export", lambda path: self.saving.save(path, self.beds.layouts)
        )

    def ask_picture(self) -> None:
        """Ask where to save a picture of the plan."""
        session = self.desk.session
        if session is not None:
            name = f"{session.folder.name}.png"
            self._asks.picture_file(self.tr("Save the timeline"), name, self._save_picture)

    def _save_picture(self, path: Path) -> None:
        session = self.desk.session
        if session is None or session.answer is None or session.weekend is None:
            return
        answer, weekend, now_s = session.answer, session.weekend, int(self.desk.now().timestamp())
        title, state = session.project.name, session.log.state

        def draw() -> None:
            draw_plan(weekend, answer, path, title=title, now_s=now_s, state=state)

        if self.desk.attempt(Place.FILES, draw):
            self.strip.tell(phrase("picture", path=str(path)))

    def _welcome(self, *, files: bool) -> None:
        """Show that files held over the window may be let go."""
        for place in (self.parts, self.start.target):
            place.welcome(files=files)

    # What Qt tells it.

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Welcome files, wherever they are held over the window."""
        if event.source() is None and _files(event.mimeData()):
            event.acceptProposedAction()
            self._welcome(files=True)

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:  # noqa: N802 - Qt's name
        """The files are gone again."""
        super().dragLeaveEvent(event)
        self._welcome(files=False)

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's name
        """Take files in, or open what is a project; see `dropped`."""
        self._welcome(files=False)
        dropped = sorted_out(_files(event.mimeData()))
        event.acceptProposedAction()
        if dropped.project is not None:
            self.open_folder(dropped.project)
        elif self.desk.session is None:
            self.ask_new(dropped.files)
        else:
            self.desk.add_files(dropped.files)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours; look for edits from outside when coming back."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "actions_"):
            paint_icons(self.actions_, self)
        elif event.type() == QEvent.Type.ActivationChange and self.isActiveWindow():
            session = self.desk.session
            self.calendars.before(session.folder if session else None, self.desk.look_outside)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """End what is going on; everything else is saved already."""
        self.remembering.save()
        self.desk.close()
        super().closeEvent(event)


def _files(mime: QMimeData) -> tuple[Path, ...]:
    """Files on the local disk among what is dragged."""
    urls = mime.urls() if mime.hasUrls() else []
    return tuple(Path(url.toLocalFile()) for url in urls if url.isLocalFile())
