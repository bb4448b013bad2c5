"""Everything the window can be told to do, each with name, shortcut, icon and tooltip."""

from collections.abc import Callable
from dataclasses import dataclass, fields

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QMenuBar, QWidget

from fabsched.desktop.icons import icon

Key = QKeySequence.StandardKey


@dataclass(frozen=True, slots=True, kw_only=True)
class Actions:
    """The actions, in the order of the menus."""

    new: QAction
    open: QAction
    sample: QAction
    picture: QAction
    export: QAction
    quit: QAction
    undo: QAction
    redo: QAction
    files: QAction
    work: QAction
    plan: QAction
    pin: QAction
    stop: QAction
    keep: QAction
    closer: QAction
    wider: QAction
    whole: QAction
    lanes: QAction
    steps: QAction
    part: QAction
    needs: QAction
    beds: QAction
    log: QAction
    choices: QAction
    bench: QAction
    notices: QAction
    calendar: QAction
    odds: QAction
    compare: QAction
    advice: QAction
    shop: QAction
    testcut: QAction
    entry: QAction
    find: QAction

    @property
    def all(self) -> tuple[QAction, ...]:
        """All of them."""
        return tuple(getattr(self, entry.name) for entry in fields(self))

    @property
    def pages(self) -> tuple[QAction, ...]:
        """Those that lead to a page of the project."""
        how = (self.lanes, self.steps, self.odds, self.advice, self.choices, self.log)
        return *how, self.part, self.needs, self.beds, self.compare, self.testcut, self.shop


REDO = ("Ctrl+Shift+Z", "Ctrl+Y")
"""Hands know one or the other, whichever platform they learnt on."""

Shortcut = QKeySequence.StandardKey | str | None


@dataclass(frozen=True, slots=True)
class _Entry:
    """Text, icon, shortcut and tooltip of an action."""

    text: str
    icon: str
    shortcut: Shortcut
    tip: str


ENTRIES = {
    "new": _Entry("&New project\u2026", "new", Key.New, "Make a project in a folder of its own"),
    "open": _Entry("&Open a project\u2026", "open", Key.Open, "Open a project folder"),
    "sample": _Entry(
        "Open the &sample\u2026", "sample", None, "Copy a complete project, and look around in it"
    ),
    "picture": _Entry("Save &picture\u2026", "picture", Key.Save, "Save the timeline as a picture"),
    "export": _Entry(
        "Save all &files\u2026",
        "export",
        "Ctrl+Shift+S",
        "Write beds, sheets, calendar and run sheet into a folder",
    ),
    "quit": _Entry("&Quit", "quit", "Ctrl+Q", "Close the window; everything is saved already"),
    "undo": _Entry("&Undo", "undo", Key.Undo, "Take the last change back"),
    "redo": _Entry("&Redo", "redo", Key.Redo, "Do again what was taken back"),
    "files": _Entry("Add &files\u2026", "files", "Ctrl+Shift+A", "Add part files to the project"),
    "work": _Entry("Add &work\u2026", "work", "Ctrl+Shift+W", "Add something hands do"),
    "plan": _Entry("&Plan now", "plan", Key.Refresh, "Plan again from this moment on"),
    "pin": _Entry(
        "P&in the block, or let it go",
        "pin",
        "Ctrl+I",
        "Let the selected block start when it does, or whenever is best",
    ),
    "stop": _Entry("&Cancel", "stop", "Esc", "Stop what is being worked out"),
    "keep": _Entry(
        "&Keep the best so far",
        "keep",
        "Ctrl+Return",
        "Search for a better plan no longer, and finish the best one found so far",
    ),
    "closer": _Entry("&Closer", "closer", Key.ZoomIn, "Show less time, larger"),
    "wider": _Entry("&Wider", "wider", Key.ZoomOut, "Show more time, smaller"),
    "whole": _Entry("W&hole weekend", "whole", "Ctrl+0", "Show everything"),
    "lanes": _Entry("&Timeline", "lanes", "Ctrl+1", "Show the plan on lanes along the hours"),
    "steps": _Entry("&Step by step", "steps", "Ctrl+2", "Show the plan as a list, with reasons"),
    "part": _Entry("P&art", "part", "Ctrl+3", "Show the part that was clicked, in full"),
    "needs": _Entry("&Waits for", "needs", "Ctrl+4", "Show what waits for what, and change it"),
    "beds": _Entry("&Beds and sheets", "beds", "Ctrl+5", "Show how parts lie on beds and sheets"),
    "log": _Entry("&Log", "log", "Ctrl+6", "Show what was told, and put it right"),
    "choices": _Entry(
        "What &now?", "choices", "Ctrl+Shift+N", "Show what can be done after a failure"
    ),
    "bench": _Entry(
        "At the &bench", "bench", "Ctrl+B", "Open a small window with what to do now and next"
    ),
    "notices": _Entry("&Notices", "notices", None, "Tell when hands are needed"),
    "calendar": _Entry(
        "Save the &calendar",
        "calendar",
        "Ctrl+Shift+K",
        "Write the calendar to where it was saved last, so that other programs update it",
    ),
    "odds": _Entry(
        "&Odds", "odds", "Ctrl+7", "Show when it is likely done, and what bears on that"
    ),
    "shop": _Entry("S&hop", "shop", "Ctrl+8", "Show places, people, machines and stock"),
    "compare": _Entry(
        "Plate or p&rint",
        "compare",
        "Ctrl+9",
        "Compare printing a part whole with cutting plates out of it",
    ),
    "advice": _Entry(
        "Adv&ice", "advice", "Ctrl+Shift+D", "Show what would win chance, and what is to be bought"
    ),
    "testcut": _Entry(
        "Test &cut",
        "testcut",
        "Ctrl+Shift+T",
        "Put out a ladder of test squares, and take over feed and kerf from it",
    ),
    "entry": _Entry(
        "Add to the applications &menu",
        "add",
        None,
        "Put this program, with its icon, into the desktop's menu, and let it open projects",
    ),
    "find": _Entry("&Find an action\u2026", "find", "F3", "List everything the window can do"),
}
"""What the actions are called; marked here, translated where they are made."""

MENUS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "&Project",
        ("new", "open", "sample", "", "picture", "export", "calendar", "", "entry", "quit"),
    ),
    ("&Edit", ("undo", "redo", "", "files", "work")),
    ("P&lan", ("plan", "pin", "stop", "keep", "", "log", "choices", "", "bench", "notices")),
    (
        "&View",
        (
            "lanes",
            "steps",
            "part",
            "needs",
            "beds",
            "odds",
            "compare",
            "advice",
            "shop",
            "testcut",
            "",
            "closer",
            "wider",
            "whole",
            "",
            "find",
        ),
    ),
)
"""Menus with their actions; an empty name is a line between them."""


def make_actions(parent: QWidget, deeds: dict[str, Callable[[], object]]) -> Actions:
    """Make all actions.

    Args:
        parent: the window they belong to.
        deeds: what each does, by name.
    """
    made = {name: _action(parent, entry, deeds[name]) for name, entry in ENTRIES.items()}
    return Actions(**made)


def _action(parent: QWidget, entry: _Entry, deed: Callable[[], object]) -> QAction:
    action = QAction(icon(entry.icon, parent.palette()), _tr(entry.text), parent)
    action.setShortcuts(_keys(entry.shortcut))
    keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
    action.setToolTip(f"{_tr(entry.tip)} ({keys})" if keys else _tr(entry.tip))
    action.setStatusTip(_tr(entry.tip))
    action.triggered.connect(lambda _checked: deed())
    return action


def _keys(shortcut: Shortcut) -> list[QKeySequence]:
    """All keys that mean this on the platform, the usual ones first; those of redo on every one."""
    if isinstance(shortcut, str):
        return [QKeySequence(shortcut)]
    found = QKeySequence.keyBindings(shortcut) if shortcut is not None else []
    both = REDO if shortcut == Key.Redo else ()
    return [*found, *(keys for keys in map(QKeySequence, both) if keys not in found)]


def fill_menus(bar: QMenuBar, actions: Actions) -> None:
    """Put the actions into menus."""
    for title, names in MENUS:
        menu: QMenu = bar.addMenu(_tr(title))
        menu.setToolTipsVisible(True)
        for name in names:
            if name:
                menu.addAction(getattr(actions, name))
            else:
                menu.addSeparator()


def add_recent(bar: QMenuBar, actions: Actions, menu: QMenu) -> None:
    """Put the menu of projects opened lately below those that open one."""
    first = bar.actions()[0].menu()
    if isinstance(first, QMenu):
        first.insertMenu(first.actions()[first.actions().index(actions.sample) + 1], menu)


def add_to_view(bar: QMenuBar, menu: QMenu) -> None:
    """Put a menu at the end of the one about what is shown."""
    last = bar.actions()[-1].menu()
    if isinstance(last, QMenu):
        last.addMenu(menu)


def paint_icons(actions: Actions, parent: QWidget) -> None:
    """Give all actions icons in the colours of now."""
    for name, entry in ENTRIES.items():
        getattr(actions, name).setIcon(icon(entry.icon, parent.palette()))


def _tr(text: str) -> str:
    return QCoreApplication.translate("Actions", text)
