"""The log: everything that was told, put right in place."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QDialogButtonBox, QTreeWidgetItem

from fabsched.desktop import theme
from fabsched.desktop.bench.details import Details
from fabsched.desktop.bench.log_page import WHAT, WHEN, LogPage
from fabsched.desktop.bench.teller import Facts
from fabsched.desktop.window import MainWindow
from fabsched.model.log import Event
from fabsched.session.bench import Bench
from fabsched.session.sayings import Saying, Verb
from fabsched.session.wording import phrase
from tests.desktop import made
from tests.desktop.bench.conftest import Settle
from tests.desktop.conftest import Clock
from tests.desktop.hands import click, press

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")


@pytest.fixture
def page(planned: MainWindow, clock: Clock, settle: Settle) -> LogPage:
    """The page, with three things told."""
    teller = planned.making.teller
    teller.tell(Verb.START, "louvres.start")
    clock.moment_s += 3600
    teller.tell(Verb.START, "code#1", Facts(why="while it prints"))
    clock.moment_s += 3600
    teller.tell(Verb.FAIL, "louvres", Facts(share=0.25))
    settle()
    planned.actions_.log.trigger()
    return planned.making.log


def rows(page: LogPage) -> list[QTreeWidgetItem]:
    """The rows, from above."""
    found = [page.list.topLevelItem(row) for row in range(page.list.topLevelItemCount())]
    return [item for item in found if item is not None]


def choose(page: LogPage, row: int) -> None:
    """Choose a row by clicking it."""
    item = rows(page)[row]
    rect = page.list.visualItemRect(item)
    click(page.list.viewport(), rect.center())


def open_details(window: MainWindow) -> Details:
    """The dialog that is asked."""
    (details,) = [each for each in window.findChildren(Details) if each.isVisible()]
    return details


def test_the_newest_stands_first(page: LogPage) -> None:
    """What was told, when, and why; plans are left out."""
    assert page.isVisible()
    assert [item.text(WHAT) for item in rows(page)] == [
        "Louvre plates (6): failed (25 % of the way)",
        "Logger code: started",
        "Louvre plates (6): started",
    ]
    assert rows(page)[1].text(WHEN) == "Fri 19:00"
    assert rows(page)[1].text(2) == "while it prints"


def test_a_time_is_put_right_in_place(page: LogPage, planned: MainWindow) -> None:
    """The button asks; the old entry is struck out, and the new one stands in the list."""
    choose(page, 1)
    click(page.correct)
    details = open_details(planned)
    details.at.show_moment(made.at(13, 18, 30))
    press(details, Qt.Key.Key_Return)
    session = planned.desk.session
    assert session is not None
    assert session.log.state.going["code"].start_s == made.at(13, 18, 30)
    assert rows(page)[0].text(WHEN) == "Fri 18:30"
    (struck,) = [item for item in rows(page) if item.font(WHAT).strikeOut()]
    assert struck.toolTip(WHAT) == "no longer holds"


def test_who_did_it_is_put_right(page: LogPage, planned: MainWindow, bench: Bench) -> None:
    """Where there are several, names are ticked; nobody at all is no answer, and one alone asks nothing."""
    choose(page, 1)
    click(page.correct)
    alone = open_details(planned)
    assert alone.who.boxes == {}
    press(alone, Qt.Key.Key_Escape)
    (done_by,) = bench.log.state.going["code"].meant.people
    first = bench.shop.people[0]
    people = tuple(replace(first, id=ident, name=ident.title()) for ident in (done_by, "ada"))
    assert planned.desk.change_shop("shop", lambda shop: replace(shop, people=people))
    choose(page, 1)
    click(page.correct)
    details = open_details(planned)
    press(details.who.boxes[done_by], Qt.Key.Key_Space)
    assert not details.buttons.button(QDialogButtonBox.StandardButton.Ok).isEnabled()
    press(details.who.boxes["ada"], Qt.Key.Key_Space)
    click(details.buttons.button(QDialogButtonBox.StandardButton.Ok))
    assert bench.log.state.going["code"].meant.people == ("ada",)


def test_an_entry_is_taken_back_by_key_and_undo_brings_it_again(
    page: LogPage, planned: MainWindow, bench: Bench, settle: Settle
) -> None:
    """Delete withdraws the chosen entry: the print has not failed, and goes on."""
    choose(page, 0)
    press(page.list, Qt.Key.Key_Delete)
    assert "louvres" in bench.log.state.going
    assert rows(page)[0].text(WHAT).startswith("Taken back: Louvre plates (6): failed")
    choose(page, 1)
    assert not page.withdraw.isEnabled()
    settle()
    planned.actions_.redo.trigger()
    assert "louvres" not in bench.log.state.going


def test_what_other_programs_tell_is_listed(
    page: LogPage, planned: MainWindow, bench: Bench, clock: Clock
) -> None:
    """A command line writes an entry; it stands at the top after the next look."""
    now_s = clock.moment_s
    other = Bench.open(bench.folder)
    other.tell(Saying(verb=Verb.FINISH, block="code", at_s=now_s, now_s=now_s))
    planned.making.teller.look()
    assert rows(page)[0].text(WHAT) == "Logger code: finished"
    assert [e.kind for e in bench.log.entries if e.kind is Event.FINISHED]


def test_entries_follow_the_colours_of_the_window(page: LogPage, qapp: QApplication) -> None:
    """When the desktop turns dark, what was written stays readable; no column cuts its texts."""
    before = qapp.palette()
    qapp.setPalette(theme.palette(dark=True))
    qapp.processEvents()
    texts, ground = rows(page)[0].foreground(WHAT).color(), page.palette().base().color()
    qapp.setPalette(before)
    assert texts.lightness() - ground.lightness() > 100
    wide = page.list.fontMetrics().horizontalAdvance(rows(page)[1].text(WHEN))
    assert page.list.columnWidth(WHEN) >= wide


def test_an_empty_log_says_how_it_is_filled(planned: MainWindow) -> None:
    """Nothing was told yet: the page says where one tells."""
    page = planned.making.log
    assert page.hint.text() == phrase("log-quiet")
