"""The plan told step by step, beside the timeline: by real clicks and keys."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QTreeWidgetItem

from fabsched.desktop import theme
from fabsched.desktop.steps_panel import DEED, LAST, NUMBER, TIMES, WHERE, WHO, WHY, StepsPanel
from fabsched.desktop.window import MainWindow
from fabsched.model.plan import Block
from tests.desktop import made
from tests.desktop.conftest import Clock
from tests.desktop.hands import click, press


def rows(steps: StepsPanel) -> list[QTreeWidgetItem]:
    """The rows with a number, in order."""
    days = [steps.topLevelItem(at) for at in range(steps.topLevelItemCount())]
    children = [day.child(at) for day in days if day for at in range(day.childCount())]
    return [row for row in children if row is not None]


def test_keys_bring_the_list_to_the_front_and_the_timeline_back(planned: MainWindow) -> None:
    """Ctrl+2 and Ctrl+1; what comes to the front takes the keys."""
    QTest.keySequence(planned, QKeySequence("Ctrl+2"))
    assert planned.plan.steps.isVisible()
    assert planned.plan.steps.hasFocus()
    assert not planned.plan.timeline.isVisible()
    QTest.keySequence(planned, QKeySequence("Ctrl+1"))
    assert planned.plan.timeline.isVisible()
    assert planned.plan.timeline.hasFocus()


def test_every_step_is_told_with_its_reason(planned: MainWindow) -> None:
    """As many rows as blocks, in order; times, deed and reason stand in the row."""
    found = rows(planned.plan.steps)
    assert [row.text(NUMBER) for row in found] == [str(n + 1) for n in range(len(made.blocks()))]
    (bench,) = (row for row in found if "Bench test" in row.text(DEED))
    assert bench.text(TIMES) == "13:15\u201313:55"
    assert bench.text(WHY) == "Wire the sensors has to be done first"
    assert bench.text(LAST) == ""


def test_list_and_timeline_choose_the_same_block(planned: MainWindow) -> None:
    """A click on a row marks the block; a block chosen by key marks its row; days are passed over."""
    planned.plan.show_steps()
    steps = planned.plan.steps
    (fit,) = (row for row in rows(steps) if "Test fit" in row.text(DEED))
    steps.scrollToItem(fit)
    click(steps.viewport(), steps.visualItemRect(fit).center())
    assert planned.plan.timeline.chosen == "fit"
    press(steps, Qt.Key.Key_Down)
    assert planned.plan.timeline.chosen == "assemble#1"
    planned.plan.show_lanes()
    press(planned.plan.timeline, Qt.Key.Key_Left)
    current = steps.currentItem()
    assert current is not None
    assert current.data(NUMBER, Qt.ItemDataRole.UserRole) == planned.plan.timeline.chosen == "fit"


def test_what_goes_on_now_is_bold_and_what_is_over_faint(planned: MainWindow, clock: Clock) -> None:
    """On Saturday at a quarter past one the bench test begins, and Friday is over."""
    clock.moment_s = made.at(14, 13, 20)
    planned.plan.tell_time()
    role = planned.palette().ColorRole
    for row in rows(planned.plan.steps):
        block = made_block(row)
        bold = row.font(DEED).bold()
        assert bold is (block.start_s <= clock.moment_s < block.end_s)
        faint = row.foreground(DEED).color() == planned.palette().color(role.PlaceholderText)
        assert faint is (block.end_s <= clock.moment_s)


def made_block(row: QTreeWidgetItem) -> Block:
    """The block of a row."""
    ident = row.data(NUMBER, Qt.ItemDataRole.UserRole)
    (block,) = (block for block in made.blocks() if block.id == ident)
    return block


def test_steps_follow_the_colours_of_the_window(planned: MainWindow, qapp: QApplication) -> None:
    """When the desktop turns dark, what was written stays readable."""
    steps, before = planned.plan.steps, qapp.palette()
    qapp.setPalette(theme.palette(dark=True))
    qapp.processEvents()
    texts, ground = rows(steps)[0].foreground(DEED).color(), steps.palette().base().color()
    qapp.setPalette(before)
    assert texts.lightness() - ground.lightness() > 100


def test_what_to_do_now_stands_over_the_plan(planned: MainWindow, clock: Clock) -> None:
    """What hands do at this moment, and what comes then; nothing while the plan is out of date."""
    clock.moment_s = made.at(14, 13, 20)
    planned.plan.tell_time()
    text = planned.plan.next.text()
    assert text.startswith("Now, until 13:55:")
    assert "Bench test of the wiring" in text
    assert "Next, Sat 13:55:" in text
    planned.parts.rows.rows["louvre"].copies.stepUp()
    assert planned.plan.next.text() == ""


def test_reasons_are_in_sight_in_a_small_window(planned: MainWindow) -> None:
    """All columns lie within the smallest window; a tooltip tells what is cut short."""
    planned.resize(1024, 700)
    planned.plan.show_steps()
    steps = planned.plan.steps
    QApplication.processEvents()
    assert steps.horizontalScrollBar().maximum() == 0
    assert all(steps.columnWidth(column) >= 120 for column in (DEED, WHY))
    assert all(row.toolTip(WHY) == row.text(WHY) for row in rows(steps))


def test_who_and_where_move_below_what_is_done_where_there_is_no_room(planned: MainWindow) -> None:
    """Their columns go, rows get a second line for them; in a wide window they come back."""
    planned.resize(1024, 700)
    planned.plan.show_steps()
    QApplication.processEvents()
    steps = planned.plan.steps
    first = rows(steps)[0]
    low = steps.visualItemRect(first).height()
    assert low >= 2 * steps.fontMetrics().height()
    assert steps.isColumnHidden(WHO)
    assert steps.isColumnHidden(WHERE)
    planned.resize(1920, 900)
    QApplication.processEvents()
    assert not steps.isColumnHidden(WHO)
    assert not steps.isColumnHidden(WHERE)
    assert steps.visualItemRect(first).height() < low
