"""Looks at every page in every size, in a process of its own: scale factors are read at the start."""

import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from time import monotonic

from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QScrollArea,
    QTabBar,
    QWidget,
)

from fabsched.desktop import recent
from fabsched.desktop.app import dress
from fabsched.desktop.background import Background
from fabsched.desktop.desk import Desk
from fabsched.desktop.dimensions.panel import ADD
from fabsched.desktop.places import Place
from fabsched.desktop.recovery import Left
from fabsched.desktop.translating import speak
from fabsched.desktop.window import MainWindow
from fabsched.model.project import Fit, Part
from fabsched.session.edits import put_all
from fabsched.session.language import language
from tests.desktop import fakes, made
from tests.desktop.loaded import load

SIZES = ((1024, 700), (1400, 900), (1920, 1080))
CONTROLS = (QAbstractButton, QLineEdit, QComboBox, QAbstractSpinBox)
SLACK_PX = 1
ROWS = 2
"""In so many rows stand the words of all pages at most."""
PATIENCE_S = 20.0


def shown(window: QWidget) -> Iterator[QWidget]:
    """Our own visible widgets; what is inside Qt's own ones is Qt's."""
    for widget in window.findChildren(QWidget):
        owner = widget.parentWidget()
        qts = widget.objectName().startswith("qt_") or isinstance(owner, (*CONTROLS, QTabBar))
        if widget.isVisible() and not widget.isWindow() and not qts and owner is not None:
            yield widget


def scrolled(widget: QWidget) -> bool:
    """Whether it is what a scroll area moves about, which is larger than its window on it."""
    owner = widget.parentWidget()
    area = owner.parentWidget() if owner else None
    return isinstance(area, QScrollArea) and area.widget() is widget


def faults(window: MainWindow) -> Iterator[str]:
    """What is wrong with the page that is shown now."""
    for widget in shown(window):
        owner = widget.parentWidget()
        assert owner is not None
        room = owner.rect().adjusted(-SLACK_PX, -SLACK_PX, SLACK_PX, SLACK_PX)
        if not scrolled(widget) and not room.contains(widget.geometry()):
            yield f"{name_of(widget)} sticks out: {numbers(widget.geometry())} in {numbers(room)}"
        if isinstance(widget, CONTROLS) and widget.height() < lowest(widget):
            yield f"{name_of(widget)} is cut: {widget.height()} of {lowest(widget)}"
        if tabbed(widget) and not named(widget):
            yield f"{name_of(widget)} has no name"
        if tabbed(widget) and isinstance(widget, CONTROLS) and not widget.toolTip():
            yield f"{name_of(widget)} has no tooltip"
        if isinstance(widget, QScrollArea) and shorn(widget):
            yield f"{name_of(widget)} cuts what stands in it, and there is no bar: {shorn(widget)}"


def shorn(area: QScrollArea) -> int:
    """By how many pixels what it shows is too wide for it, where one cannot scroll sideways."""
    if area.horizontalScrollBarPolicy() is not Qt.ScrollBarPolicy.ScrollBarAlwaysOff:
        return 0
    inside = area.widget()
    wide = max(inside.width(), inside.minimumSizeHint().width()) if inside else 0
    return max(0, wide - area.viewport().width())


def lowest(widget: QWidget) -> int:
    """Height a control's text needs."""
    return widget.fontMetrics().height()


def tabbed(widget: QWidget) -> bool:
    """Whether Tab stops at it."""
    return bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus) and widget.isEnabled()


def named(widget: QWidget) -> bool:
    """Whether a screen reader has something to say: a name, a text, or a label that belongs to it."""
    text = widget.text() if isinstance(widget, QAbstractButton | QLabel) else ""
    buddies = (label.buddy() for label in widget.window().findChildren(QLabel))
    return bool(widget.accessibleName() or text or widget in buddies)


def turns(page: QWidget) -> list[QWidget]:
    """The controls of a page Tab stops at, in the order it does."""
    chain: list[QWidget] = []
    widget = page.nextInFocusChain()
    while widget is not None and widget is not page:
        chain.append(widget)
        widget = widget.nextInFocusChain()
    return [w for w in chain if page.isAncestorOf(w) and w.isVisible() and tabbed(w)]


def jumps(page: QWidget | None) -> Iterator[str]:
    """Where Tab goes back up between neighbours, to something above in the same column."""
    for one, other in pairwise(turns(page) if page else ()):
        if one.parentWidget() is not other.parentWidget():
            continue
        here, there = one.geometry(), other.geometry()
        beside = there.right() < here.left() or there.left() > here.right()
        if there.bottom() < here.top() and not beside:
            yield f"Tab goes up from {name_of(one)} to {name_of(other)}"


def name_of(widget: QWidget) -> str:
    """How a widget is told from others."""
    return f"{type(widget).__name__} {widget.accessibleName() or getattr(widget, 'text', str)()!r}"


def numbers(rect: QRect) -> tuple[int, int, int, int]:
    """Left, top, width and height."""
    return rect.x(), rect.y(), rect.width(), rect.height()


def pages_reached(window: MainWindow) -> bool:
    """Whether the word of every page is in sight, whole, and in one of two rows at most."""
    bar = window.plan.words
    words = [word for word in bar.words if word.isVisible()]
    whole = all(
        bar.rect().contains(w.geometry()) and w.width() >= w.minimumSizeHint().width()
        for w in words
    )
    rows = {word.y() for word in words}
    return len(words) == window.plan.pages.count() and whole and len(rows) <= ROWS


def settle(app: QApplication, pool: fakes.FakePool, window: MainWindow) -> None:
    """Let the pool answer what it can until the window rests."""
    end = monotonic() + PATIENCE_S
    while monotonic() < end and (window.desk.busy or window.desk.session is None):
        app.processEvents()
        if pool.held:
            pool.answer()
    app.processEvents()


def look_at_pages(pool: fakes.FakePool, window: MainWindow) -> dict[str, str]:
    """What is wrong, with the page where it was seen last."""
    found: dict[str, str] = {}
    for index in range(window.plan.pages.count()):
        window.plan.pages.setCurrentIndex(index)
        page = f"{window.width()}, {window.plan.words.title(index)}"
        for _ in range(3):
            QApplication.processEvents()
        found.update(dict.fromkeys(faults(window), f"{page}, loading"))
        found.update((f"{name} is waited for", page) for name in load(pool))
        found.update(seen(window, page))
        if not pages_reached(window):
            found[f"{page} is out of reach"] = page
    return found


def seen(window: MainWindow, where: str) -> dict[str, str]:
    """What is wrong with the window as it is now."""
    page = window.plan.pages.currentWidget()
    return dict.fromkeys((*faults(window), *jumps(page), *jumps(window.work)), where)


def look_at_forms(pool: fakes.FakePool, window: MainWindow) -> dict[str, str]:
    """The same for forms that open in place, each with all that can stand in it."""
    found: dict[str, str] = {}
    part, width = window.part, window.width()
    window.show_part("cradle")
    here = part.dimensions
    for name, button in (("picking", here.pick), ("poses", part.poses.look)):
        button.click()
        found.update((f"{left} is waited for", name) for left in load(pool))
        found.update(seen(window, f"{width}, {name}"))
    here.pick.setChecked(False)
    for name, button in (("measure", here.measure), ("dimension", here.change)):
        button.click()
        load(pool)
        found.update(seen(window, f"{width}, {name}"))
    window.work.form.details.is_gate.setChecked(True)
    window.work.form.more.setChecked(True)
    load(pool)
    found.update(seen(window, f"{width}, work"))
    return found


def with_hole(window: MainWindow) -> Part:
    """The cradle with a critical dimension."""
    session = window.desk.session
    assert session is not None
    part = next(part for part in session.project.parts if part.id == "cradle")
    fit = Fit(
        id="hole",
        name="A hole with a rather long name",
        at_mm=(5, 5, 5),
        size_mm=(5, 5, 10),
        ends_mm=((2.5, 5, 5), (7.5, 5, 5)),
        tolerance_mm=0.1,
        clearance_mm=0.2,
        measured_mm=4.8,
    )
    return replace(part, fits=(fit,))


def a_crash(project: Path) -> Left:
    """A project as a crash may have left it."""
    return Left(folder=project, name="Station", moment="17:42", entries=3, planned=True)


def main(folder: Path) -> int:
    """Look at everything; faults are written to stderr.

    Returns:
        How many there are.
    """
    app = QApplication([])
    dress(app)
    speak(app, language())
    pool = fakes.FakePool()
    now = datetime.fromtimestamp(made.BEGIN, UTC)
    window = MainWindow(Desk(Background(pool, app), lambda: now, app), fakes.FakeAsks())
    window.show()
    found: dict[str, str] = {}
    project = fakes.write_project(folder)
    recent.note(project, "Station")
    window.start.recent.follow()
    window.recovered.tell((a_crash(project),))
    for size in SIZES:
        window.resize(*size)
        app.processEvents()
        found.update((fault, f"{size[0]}, start") for fault in faults(window))
    window.open_folder(project)
    settle(app, pool, window)
    window.parts.chosen.emit("cradle")
    window.desk.change(Place.PARTS, ADD, put_all([with_hole(window)]))
    settle(app, pool, window)
    window.part.compare.click()
    window.work.begin(None)
    for size in SIZES:
        window.resize(*size)
        app.processEvents()
        found.update(look_at_pages(pool, window))
        found.update(look_at_forms(pool, window))
        print(f"looked at {size[0]} x {size[1]}")  # noqa: T201 - read by the test
    for fault, where in found.items():
        print(f"{where}: {fault}", file=sys.stderr)  # noqa: T201 - read by the test
    window.close()
    return len(found)


if __name__ == "__main__":
    sys.exit(min(99, main(Path(sys.argv[1]))))
