"""The window, by real clicks, keys and drops."""

import errno
import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from fabsched.desktop import theme
from fabsched.desktop.window import MainWindow
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.session.project_session import Session
from fabsched.session.requests import EstimateRequest, PlanRequest, PlanResponse, RoughRequest
from tests.desktop import made
from tests.desktop.conftest import finish
from tests.desktop.fakes import PROJECT, STL, FakeAsks, FakePool, drop
from tests.desktop.hands import click, hover, press, write

CTRL = Qt.KeyboardModifier.ControlModifier


def session_of(window: MainWindow) -> Session:
    """The session the window shows."""
    assert window.desk.session is not None
    return window.desk.session


def said(widget: QWidget) -> str:
    """All texts that can be seen on a widget."""
    labels = widget.findChildren(QLabel)
    return "\n".join(label.text() for label in labels if label.isVisible())


def key(window: MainWindow, standard: QKeySequence.StandardKey) -> None:
    """Press the keys of a standard shortcut."""
    QTest.keySequence(window, QKeySequence(standard))


def test_an_empty_window_says_what_to_do(window: MainWindow) -> None:
    """Without a project one reads what to drop, and finds three ways to begin."""
    text = said(window.start)
    assert "Drop part files here" in text
    assert "STL" in text
    names = [button.accessibleName() for button in window.start.buttons]
    assert names == ["New project\u2026", "Open a project\u2026", "Open the sample\u2026"]
    assert not window.actions_.plan.isEnabled()
    assert not window.actions_.undo.isEnabled()
    assert not any(way.isEnabled() for way in window.actions_.pages)


def test_opening_shows_parts_work_and_at_last_the_plan(
    qtbot: QtBot, window: MainWindow, asks: FakeAsks, pool: FakePool, project: Path
) -> None:
    """From the button over the folder to the odds in words at the top."""
    asks.path = project
    click(window.start.buttons[1])
    assert list(window.parts.rows.rows) == ["louvre", "cradle", "base"]
    assert list(window.work.rows.rows) == ["wire", "assemble", "fit"]
    assert window.parts.rows.rows["louvre"].time.text() == "estimating\u2026"
    assert window.strip.bar.isVisible()
    assert "plan is being worked out" in window.headline.spare.text()
    finish(qtbot, window, pool)
    assert window.headline.odds.text().startswith("You will very likely be done: 93 in 100")
    assert "1 d 3 h to spare" in window.headline.spare.text()
    assert window.parts.rows.rows["louvre"].time.text() == "1 h 15 min each"
    assert window.plan.timeline.isVisible()
    assert not window.strip.bar.isVisible()
    assert window.windowTitle().startswith("Balcony weather station")


def test_findings_stand_at_their_part(planned: MainWindow) -> None:
    """The thin wall is told in the row of the cradle and nowhere else."""
    assert "thinner than one bead" in said(planned.parts.rows.rows["cradle"])
    assert "thinner than one bead" not in said(planned.parts.rows.rows["louvre"])


def test_one_click_puts_a_suspect_unit_right(
    qtbot: QtBot, window: MainWindow, pool: FakePool, project: Path
) -> None:
    """The button stands under the remark, is reached by Tab after the row's own, and can be undone."""
    window.open_folder(project)
    suspect = Finding(
        code=Remark.UNIT_SUSPECT, where="parts/cradle.stl", facts={"size": 1.5, "unit": "inch"}
    )
    pool.answer(findings={"cradle": (suspect,)})
    finish(qtbot, window, pool)
    row = window.parts.rows.rows["cradle"]
    assert "measures 1.5 mm" in row.findings.texts[0]
    (button,) = row.findings.buttons
    assert button.text() == "It was drawn in inch"
    assert row.remove.nextInFocusChain() is button
    click(button)
    units = {part.id: part.unit for part in session_of(window).project.parts}
    assert units == {"louvre": None, "cradle": "inch", "base": None}
    assert window.actions_.undo.text() == "&Undo: set the unit"
    key(window, QKeySequence.StandardKey.Undo)
    assert session_of(window).project.parts[1].unit is None
    finish(qtbot, window, pool)


def test_cautions_stand_beside_the_plan(planned: MainWindow) -> None:
    """A cut and prints alone are planned: both can be read in a line, and in full on a high screen."""
    text = said(planned.plan)
    assert "tay beside the laser" in text
    assert "smoke alarm" in text
    planned.resize(1400, 1200)
    QApplication.processEvents()
    assert "stay beside it as long as it cuts" in said(planned.plan)


def test_files_dropped_anywhere_become_parts(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, tmp_path: Path
) -> None:
    """On the timeline or on the list: the file is copied in, estimated and planned."""
    for name, target in (("lid", planned.plan.timeline), ("arm", planned.parts)):
        path = tmp_path / f"{name}.stl"
        path.write_bytes(STL.replace(b"9", str(ord(name[0])).encode()))
        assert drop(planned, target, [path])
        assert name in planned.parts.rows.rows
        assert (session_of(planned).folder / "parts" / path.name).exists()
    finish(qtbot, planned, pool)
    assert session_of(planned).answer_is_current
    assert planned.parts.rows.rows["lid"].time.text() == "1 h 15 min"


def test_a_dropped_solid_has_a_first_figure_before_it_is_worked_out(
    planned: MainWindow, pool: FakePool, qtbot: QtBot, tmp_path: Path
) -> None:
    """The row says roughly how long, and that it is rough; then the estimate takes its place."""
    path = tmp_path / "lid.stl"
    path.write_bytes(STL.replace(b"9", b"7"))
    drop(planned, planned, [path])
    time = planned.parts.rows.rows["lid"].time
    assert time.text() == "estimating\u2026"
    qtbot.waitUntil(lambda: bool(pool.of(RoughRequest)))
    pool.answer(only=RoughRequest)
    qtbot.waitUntil(lambda: time.text() == "roughly 1 h 7 min, not yet worked out")
    finish(qtbot, planned, pool)
    assert time.text() == "1 h 15 min"


def test_bad_files_are_refused_by_name_at_the_list(planned: MainWindow, tmp_path: Path) -> None:
    """An empty file and one of another kind: both named, with what to do; the rest goes on."""
    empty, other = tmp_path / "empty.stl", tmp_path / "notes.docx"
    empty.write_bytes(b"")
    other.write_bytes(b"x")
    drop(planned, planned.parts, [empty, other])
    text = said(planned.parts)
    assert "empty.stl: the file is empty; export it again" in text
    assert "notes.docx: files ending in '.docx' are not read" in text
    assert len(planned.parts.rows.rows) == 3


def test_a_file_that_cannot_be_read_is_told_in_its_row(
    qtbot: QtBot, window: MainWindow, pool: FakePool, project: Path
) -> None:
    """The fault stands at the part; at the plan stands only that parts are in the way."""
    window.open_folder(project)
    fault = InputError(Fault.FILE_TRUNCATED, "parts/base.svg", have=10, want=99)
    pool.answer(errors={"base": fault})
    qtbot.waitUntil(lambda: not window.desk.busy)
    assert "the file ends early (10 of 99 bytes)" in said(window.parts.rows.rows["base"])
    assert "this cannot be made: " in window.plan.trouble.text
    click(window.parts.rows.rows["base"].remove)
    finish(qtbot, window, pool)
    assert window.plan.trouble.text == ""
    assert window.plan.timeline.isVisible()


def test_files_dropped_on_an_empty_window_make_a_project(
    qtbot: QtBot, window: MainWindow, asks: FakeAsks, pool: FakePool, tmp_path: Path
) -> None:
    """The folder is asked for, then the parts are in it, due by the coming Sunday evening."""
    path = tmp_path / "lid.stl"
    path.write_bytes(STL)
    asks.path = tmp_path / "mine"
    assert drop(window, window.start, [path])
    assert asks.asked == ["Make a project in a new folder: my-project"]
    session = session_of(window)
    assert list(window.parts.rows.rows) == ["lid"]
    assert session.project.deadline.weekday() == 6
    assert window.desk.busy
    assert "being worked out" in window.plan.hint.text(), "nobody is told to drop files any more"
    assert not window.parts.hint.isVisible()
    finish(qtbot, window, pool)
    assert session.answer is not None


def test_a_project_folder_dropped_on_the_window_is_opened(
    window: MainWindow, project: Path
) -> None:
    """The folder or the file in it that makes it one."""
    drop(window, window.start, [project])
    assert session_of(window).folder == project
    window.desk.open(None)
    drop(window, window.start, [project / "project.toml"])
    assert session_of(window).folder == project


def test_what_cannot_be_saved_is_told_and_shown_as_it_was(planned: MainWindow) -> None:
    """Somebody else has broken project.toml: that is said, once, until it is mended; the figure goes back."""
    session = session_of(planned)
    (session.folder / "project.toml").write_text("name = ", "utf-8")
    copies = planned.parts.rows.rows["louvre"].copies
    copies.stepUp()
    assert copies.value() == 6
    assert "project.toml: line 1" in planned.plan.trouble.text
    assert said(planned.parts.refusals) == ""
    edit = planned.headline.deadline.edit
    edit.setDateTime(edit.dateTime().addDays(7))
    press(edit, Qt.Key.Key_Return)
    assert edit.text() == "Sun 15 Mar 2026  21:00"
    (session.folder / "project.toml").write_text(PROJECT, "utf-8")
    planned.desk.look_outside()
    assert not planned.plan.trouble.isVisible()


def test_a_full_disk_is_told_where_the_change_was_made_until_one_succeeds(
    planned: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Copies at the parts, removed work at the work; the next change that is saved clears both."""

    def full(_file: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        planned.parts.rows.rows["louvre"].copies.stepUp()
        click(planned.work.rows.rows["wire"].remove)
        assert "No space left" in said(planned.parts.refusals)
        assert "No space left" in planned.work.trouble.text
    assert session_of(planned).project.parts[0].copies == 6
    planned.parts.rows.rows["louvre"].copies.stepUp()
    assert said(planned.parts.refusals) == ""
    assert not planned.work.trouble.isVisible()


def test_a_part_file_taken_away_is_noticed_on_coming_back(
    qtbot: QtBot, planned: MainWindow, pool: FakePool
) -> None:
    """Row and plan say so, and the plan no longer counts; with the file back all is as it was."""
    path = session_of(planned).folder / "parts" / "cradle.stl"
    data = path.read_bytes()
    path.unlink()
    planned.desk.look_outside()
    qtbot.waitUntil(planned.plan.trouble.isVisible)
    assert "no such file" in said(planned.parts.rows.rows["cradle"])
    assert "out of date" in planned.headline.spare.text()
    path.write_bytes(data)
    planned.desk.look_outside()
    finish(qtbot, planned, pool)
    assert not planned.plan.trouble.isVisible()
    assert session_of(planned).answer_is_current


def test_text_is_not_welcome(window: MainWindow) -> None:
    """Only files are taken; dragging nothing that is one is refused."""
    assert not drop(window, window.start, [])


def test_a_folder_without_project_is_told_at_the_start(
    window: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """No box pops up: the sentence stands under the buttons, and goes when it is mended."""
    asks.path = tmp_path
    click(window.start.buttons[1])
    assert "there is no project.toml here" in said(window.start)
    assert window.desk.session is None


def test_a_new_project_begins_empty_and_says_what_to_do(
    qtbot: QtBot, window: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """The parts are missing, not a plan: the middle of the window says so."""
    asks.path = tmp_path / "fresh"
    key(window, QKeySequence.StandardKey.New)
    qtbot.waitUntil(lambda: not window.desk.busy)
    assert window.windowTitle().startswith("fresh")
    assert "Drop part files anywhere" in window.plan.hint.text()
    assert window.plan.hint.isVisible()
    assert window.plan.trouble.text == ""


def test_the_sample_is_copied_and_opened_for_the_coming_weekend(
    window: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """Its start lies ahead of the clock of the test, its files in the folder chosen."""
    asks.path = tmp_path / "sample"
    click(window.start.buttons[2])
    session = session_of(window)
    assert session.folder == tmp_path / "sample"
    assert session.project.start is not None
    assert session.project.start >= window.desk.now()
    assert len(window.parts.rows.rows) == len(session.project.parts) > 0
    assert session.undo_label is None


def test_copies_are_changed_by_keys_undone_and_redone(
    qtbot: QtBot, planned: MainWindow, pool: FakePool
) -> None:
    """Each step is saved, labelled, and taken back by the standard keys."""
    copies = planned.parts.rows.rows["louvre"].copies
    copies.setFocus()
    press(copies, Qt.Key.Key_Up)
    assert session_of(planned).project.parts[0].copies == 7
    assert "copies = 7" in (session_of(planned).folder / "project.toml").read_text("utf-8")
    assert planned.actions_.undo.text() == "&Undo: set the copies"
    key(planned, QKeySequence.StandardKey.Undo)
    assert copies.value() == 6
    assert planned.actions_.redo.text() == "&Redo: set the copies"
    planned.actions_.redo.trigger()
    assert copies.value() == 7
    finish(qtbot, planned, pool)
    assert session_of(planned).answer_is_current


def test_a_removed_part_comes_back_whole(planned: MainWindow) -> None:
    """Undo brings back the row and what waited for the part."""
    before = session_of(planned).project
    click(planned.parts.rows.rows["cradle"].remove)
    assert "cradle" not in planned.parts.rows.rows
    planned.actions_.undo.trigger()
    assert session_of(planned).project == before
    assert list(planned.parts.rows.rows) == ["louvre", "cradle", "base"]


def test_a_later_deadline_is_planned_at_once(
    qtbot: QtBot, planned: MainWindow, pool: FakePool
) -> None:
    """Typing an hour marks the plan as out of date and asks for a new one by itself."""
    edit = planned.headline.deadline.edit
    edit.setFocus()
    edit.setSelectedSection(edit.Section.HourSection)
    press(edit, Qt.Key.Key_Up)
    qtbot.waitUntil(lambda: not session_of(planned).answer_is_current)
    assert session_of(planned).project.deadline.hour == 22
    assert "out of date" in planned.headline.spare.text()
    qtbot.waitUntil(lambda: bool(pool.of(PlanRequest)))
    assert pool.of(PlanRequest)[0].project.deadline.hour == 22
    finish(qtbot, planned, pool)
    assert "out of date" not in planned.headline.spare.text()


def test_a_deadline_in_the_past_is_told_beside_the_field(qtbot: QtBot, planned: MainWindow) -> None:
    """The sentence stands under the field and goes when the deadline is mended."""
    note = planned.headline.deadline.note
    edit = planned.headline.deadline.edit
    edit.setFocus()
    edit.setSelectedSection(edit.Section.MonthSection)
    press(edit, Qt.Key.Key_Down)
    qtbot.waitUntil(note.isVisible)
    assert note.text.startswith("The deadline Sunday 15 February 2026 21:00")
    assert planned.plan.trouble.text == ""
    press(edit, Qt.Key.Key_Up)
    qtbot.waitUntil(lambda: not note.isVisible())


def test_the_deadline_is_shown_in_the_zone_of_the_project(planned: MainWindow) -> None:
    """21:00 in Vienna, wherever this computer thinks it is."""
    field = planned.headline.deadline
    assert field.edit.text() == "Sun 15 Mar 2026  21:00"
    assert field.zone.text() == "Europe/Vienna"


def test_cancel_stops_and_plan_goes_on(
    qtbot: QtBot, window: MainWindow, pool: FakePool, project: Path
) -> None:
    """The button is there while there is something to cancel; then Plan now starts again."""
    window.open_folder(project)
    (first, *_) = pool.of(EstimateRequest)
    pool.tell(first.id, 0.5, "sections")
    qtbot.waitUntil(lambda: "layers" in window.strip.stage.text())
    assert window.strip.bar.value() == pytest.approx(1000 / 6, abs=1)
    click(window.strip.stop)
    assert not pool.held
    assert not window.strip.stop.isVisible()
    assert "no plan yet" in window.headline.spare.text()
    click(window.headline.plan)
    finish(qtbot, window, pool)
    assert session_of(window).answer is not None


def test_planning_again_by_key(planned: MainWindow, pool: FakePool) -> None:
    """F5, or whatever the platform refreshes by, plans from now on."""
    key(planned, QKeySequence.StandardKey.Refresh)
    assert len(pool.of(PlanRequest)) == 1


def test_work_is_added_by_keys_alone(planned: MainWindow) -> None:
    """Shortcut, name, minutes, Enter: the work is in the project and saved."""
    press(planned, Qt.Key.Key_W, CTRL | Qt.KeyboardModifier.ShiftModifier)
    form = planned.work.form
    assert form.isVisible()
    write(form.name, "Glue the feet")
    form.likely.setValue(50)
    press(form.name, Qt.Key.Key_Return)
    work = next(work for work in session_of(planned).project.works if work.name == "Glue the feet")
    assert (work.id, work.minutes.low, work.minutes.likely, work.minutes.high) == (
        "glue-the-feet",
        30,
        50,
        90,
    )
    assert not form.isVisible()
    assert "glue-the-feet" in planned.work.rows.rows
    assert planned.actions_.undo.text() == "&Undo: add work"


def test_work_without_a_name_or_with_falling_minutes_is_not_taken(planned: MainWindow) -> None:
    """What is missing is told in the form, which stays open."""
    click(planned.work.add)
    form = planned.work.form
    click(form.keep)
    assert form.note.text == "Give it a name."
    write(form.name, "x")
    form.low.setValue(100)
    click(form.keep)
    assert "must rise" in form.note.text
    assert form.isVisible()
    press(form, Qt.Key.Key_Escape)
    assert not form.isVisible()


def test_work_is_changed_in_place(planned: MainWindow) -> None:
    """The form opens with what is there; what is not touched stays as it was."""
    before = next(w for w in session_of(planned).project.works if w.id == "assemble")
    click(planned.work.rows.rows["assemble"].edit)
    form = planned.work.form
    assert form.name.text() == "Assemble the station"
    assert form.after.text() == "4 things"
    form.after.menu().actions()[0].trigger()
    click(form.keep)
    after = next(w for w in session_of(planned).project.works if w.id == "assemble")
    assert after.after == ("cradle", "base", "fit")
    assert after.minutes == before.minutes


def test_a_gate_stays_a_gate(planned: MainWindow) -> None:
    """Renaming a gate keeps its chance and what it redoes."""
    click(planned.work.rows.rows["fit"].edit)
    form = planned.work.form
    form.name.selectAll()
    write(form.name, "Look at the fit")
    click(form.keep)
    (gate,) = session_of(planned).project.gates
    assert (gate.name, gate.chance, gate.redo) == ("Look at the fit", 0.2, ("cradle",))


def test_work_that_waits_for_itself_is_refused_in_the_form(planned: MainWindow) -> None:
    """A circle is told where it was entered, and the project stays as it was."""
    before = session_of(planned).project
    click(planned.work.rows.rows["fit"].edit)
    form = planned.work.form
    (waits,) = (a for a in form.after.menu().actions() if a.text() == "Assemble the station")
    waits.trigger()
    click(form.keep)
    assert "wait for each other" in form.note.text
    assert form.isVisible()
    assert session_of(planned).project == before


def test_work_is_removed_and_nothing_waits_for_it(planned: MainWindow) -> None:
    """What waited for it waits no more."""
    click(planned.work.rows.rows["fit"].remove)
    assert not session_of(planned).project.gates
    assert all("fit" not in work.after for work in session_of(planned).project.works)


def test_hovering_tells_the_block_at_the_foot(planned: MainWindow) -> None:
    """Name, times and reason in one line while the pointer is there."""
    timeline = planned.plan.timeline
    shown = timeline.scene
    assert shown is not None
    block, lane = shown.block("plates"), shown.lane_of("plates")
    assert block is not None
    assert lane is not None
    rect = timeline.frame().lane(lane)
    x = timeline.scale.x((block.start_s + block.end_s) / 2)
    hover(timeline.viewport(), QPoint(round(x), round(rect.y + rect.h / 2)))
    assert "Base plate and back panel" in planned.strip.told.text()
    assert "Harbour workshop is closed until then" in planned.strip.told.text()


def test_a_picture_of_the_plan_is_saved_where_asked(
    planned: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """The name suggests itself from the folder; the file is there and told of."""
    asks.path = tmp_path / "weekend.png"
    key(planned, QKeySequence.StandardKey.Save)
    assert asks.asked[-1] == "Save the timeline: station.png"
    assert asks.path.read_bytes().startswith(b"\x89PNG")
    assert "weekend.png" in planned.strip.told.text()


def test_a_picture_that_cannot_be_saved_is_told_at_the_plan(
    planned: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """A folder that is not there: one sentence above the timeline."""
    asks.path = tmp_path / "nowhere" / "weekend.png"
    planned.actions_.picture.trigger()
    assert "cannot be written" in planned.plan.trouble.text


def test_closing_while_working_ends_the_work(
    qtbot: QtBot, window: MainWindow, pool: FakePool, project: Path
) -> None:
    """Quit cancels everything, closes the pool and closes the window."""
    window.open_folder(project)
    assert pool.held
    press(window, Qt.Key.Key_Q, CTRL)
    qtbot.waitUntil(lambda: not window.isVisible())
    assert pool.closed
    assert not pool.held


@pytest.mark.parametrize("size", [(1024, 700), (1360, 840), (2200, 1300)])
@pytest.mark.parametrize("dark", [False, True])
def test_nothing_overlaps_or_leaves_the_window(
    qapp: QApplication, planned: MainWindow, size: tuple[int, int], *, dark: bool
) -> None:
    """At three sizes, light and dark: panels lie inside the window, side by side."""
    qapp.setPalette(theme.palette(dark=dark))
    planned.resize(*size)
    QApplication.processEvents()
    assert (planned.width(), planned.height()) == size
    panels = (planned.headline, planned.parts, planned.work, planned.plan, planned.strip)
    areas = [panel.rect().translated(panel.mapTo(planned, QPoint(0, 0))) for panel in panels]
    for area in areas:
        assert planned.rect().contains(area)
    for i, area in enumerate(areas):
        assert not any(area.intersects(other) for other in areas[i + 1 :])
    assert planned.plan.timeline.height() > 200
    assert planned.grab().toImage().width() == size[0] * planned.devicePixelRatio()
    qapp.setPalette(theme.palette(dark=False))


def test_everything_that_takes_focus_has_a_name(planned: MainWindow) -> None:
    """A screen reader finds a name for every control one can reach by Tab."""
    planned.work.begin("fit")
    nameless = [
        widget
        for widget in planned.findChildren(QWidget)
        if widget.isVisible()
        and widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not (widget.accessibleName() or getattr(widget, "text", str)())
        and not any(parent.accessibleName() for parent in _parents(widget))
    ]
    assert not nameless


def _parents(widget: QWidget) -> list[QWidget]:
    """The widget a field of a spin box or date edit belongs to, if it does."""
    parent = widget.parentWidget()
    return [parent] if parent else []


def test_tab_goes_through_the_window_from_top_to_bottom(planned: MainWindow) -> None:
    """Deadline, plan button, parts, work and the timeline are all reached."""
    planned.headline.deadline.edit.setFocus()
    seen: list[QWidget | None] = []
    for _ in range(60):
        seen.append(QApplication.focusWidget())
        press(QApplication.focusWidget() or planned, Qt.Key.Key_Tab)
    order = [
        planned.headline.deadline.edit,
        planned.headline.plan,
        planned.parts.add,
        planned.parts.rows.rows["louvre"].copies,
        planned.parts.rows.rows["base"].remove,
        planned.work.add,
        planned.work.rows.rows["wire"].edit,
        planned.plan.timeline,
    ]
    places = [seen.index(widget) for widget in order]
    assert places == sorted(places)


def test_every_action_has_a_name_a_tooltip_and_an_icon(window: MainWindow) -> None:
    """And no two share a shortcut."""
    taken = [keys.toString() for action in window.actions_.all for keys in action.shortcuts()]
    assert len(taken) == len(set(taken))
    for action in window.actions_.all:
        assert action.text()
        assert action.toolTip()
        assert not action.icon().isNull()


@pytest.mark.parametrize("keys", ["Ctrl+Shift+Z", "Ctrl+Y"])
def test_either_usual_key_does_again_what_was_taken_back(planned: MainWindow, keys: str) -> None:
    """On every platform, whichever of them is its own."""
    session = session_of(planned)
    planned.parts.rows.rows["louvre"].copies.stepUp()
    key(planned, QKeySequence.StandardKey.Undo)
    assert session.project.parts[0].copies == 6
    QTest.keySequence(planned, QKeySequence(keys))
    assert session.project.parts[0].copies == 7


def test_every_button_tells_what_it_does(planned: MainWindow) -> None:
    """No button is without both a text and a name."""
    for button in planned.findChildren(QAbstractButton):
        if button.isVisible() and button.window() is planned:
            named = button.text() or button.accessibleName() or button.parentWidget()
            assert named


def test_a_dark_system_makes_a_dark_window(qapp: QApplication, planned: MainWindow) -> None:
    """The palette decides, for the window and the timeline alike, and icons follow."""
    qapp.setPalette(theme.palette(dark=True))
    QApplication.processEvents()
    image = planned.grab().toImage()
    assert image.pixelColor(5, image.height() - 5).lightness() < 60
    timeline = planned.plan.timeline
    corner = timeline.mapTo(planned, QPoint(5, timeline.height() - 5))
    assert image.pixelColor(corner * planned.devicePixelRatio()).lightness() < 60
    qapp.setPalette(theme.palette(dark=False))


def test_the_line_of_now_moves_with_the_clock(planned: MainWindow) -> None:
    """What is drawn as now is what the clock says when it is asked."""
    planned.desk.now = lambda: datetime.fromtimestamp(made.at(14, 20), UTC)
    before = planned.plan.timeline.grab().toImage()
    planned.plan.tell_time()
    assert planned.plan.timeline.grab().toImage() != before


def test_icons_of_rows_and_buttons_follow_a_change_of_colours(
    qapp: QApplication, planned: MainWindow
) -> None:
    """Turned dark while it is open, no icon stays dark on dark."""
    try:
        qapp.setPalette(theme.palette(dark=True))
        QApplication.processEvents()
        row, work = planned.parts.rows.rows["louvre"], planned.work.rows.rows["wire"]
        pictures = [row.remove.icon().pixmap(16), work.edit.icon().pixmap(16)]
        pictures += [row.route.pixmap(), work.mark.pixmap()]
        for picture in pictures:
            assert brightest(picture.toImage()) > 150
    finally:
        qapp.setPalette(theme.palette(dark=False))


def brightest(image: QImage) -> int:
    """Lightness of the lightest pixel that is wholly covered."""
    points = ((x, y) for x in range(image.width()) for y in range(image.height()))
    colours = (image.pixelColor(x, y) for x, y in points)
    return max(colour.lightness() for colour in colours if colour.alpha() > 150)


def test_a_deadline_missed_and_odds_too_low_are_marked(
    qtbot: QtBot, window: MainWindow, pool: FakePool, project: Path
) -> None:
    """By how much it is missed stands behind a mark; so does being less sure than wanted."""
    window.open_folder(project)
    finish(qtbot, window, pool)
    headline, session = window.headline, session_of(window)
    assert headline.spare.isVisible()
    assert not headline.missed.isVisible()
    assert not headline.below.isVisible()
    weekend, answer = made.weekend(), made.answer()
    late = replace(answer, course=replace(answer.course, finish_s=made.DEADLINE + 5400))
    for shown, wanted, missed in ((answer, 0.99, False), (late, 0.5, True)):
        request = session.plan_request(window.desk.now())
        week = replace(weekend, wanted_odds=wanted)
        assert session.accept(PlanResponse(id=request.id, answer=shown, weekend=week))
        assert headline.missed.isVisible() is missed
        assert headline.below.isVisible() is not missed
        assert not headline.spare.isVisible()
    assert "1 h 30 min too late" in headline.missed.text


def test_cautions_are_never_left_out_however_low_the_window(planned: MainWindow) -> None:
    """Where there is little height they stand in a line, each of them."""
    planned.resize(1360, 1000)
    QApplication.processEvents()
    long = planned.plan.cautions.texts
    assert len(long) == 4
    planned.resize(planned.minimumSize())
    QApplication.processEvents()
    told: tuple[str, ...] = planned.plan.cautions.texts
    assert len(told) == 1
    text = told[0]
    for part in ("stay beside the laser", "smoke alarm", "air the room", "mains voltage"):
        assert part in text.lower()


def test_a_plan_that_grows_is_shown_whole_if_the_last_one_was(
    qtbot: QtBot, planned: MainWindow, pool: FakePool
) -> None:
    """A finish far behind the deadline comes into view; a view that was zoomed in stays."""
    timeline, session = planned.plan.timeline, session_of(planned)
    assert timeline.scene is not None
    answer = made.answer()
    odds = replace(answer.odds, p90_s=made.HORIZON - 3600)
    request = session.plan_request(planned.desk.now())
    longer = PlanResponse(id=request.id, answer=replace(answer, odds=odds), weekend=made.weekend())
    assert session.accept(longer)
    assert timeline.scale.end_s >= timeline.scene.shown_s[1] - 1
    timeline.zoom(3)
    before = timeline.scale
    planned.desk.plan_again()
    finish(qtbot, planned, pool)
    assert timeline.scale.span_s == pytest.approx(before.span_s)


def test_empty_work_says_what_belongs_there(
    window: MainWindow, asks: FakeAsks, tmp_path: Path
) -> None:
    """With no work yet a sentence says what it is for; it goes with the first piece."""
    asks.path = tmp_path / "new"
    click(window.start.buttons[0])
    assert window.work.hint.isVisible()
    click(window.work.add)
    write(window.work.form.name, "Solder")
    click(window.work.form.keep)
    assert not window.work.hint.isVisible()


def test_times_of_work_are_written_as_one_likes(
    qtbot: QtBot, planned: MainWindow, pool: FakePool
) -> None:
    """`1 h 20` and `1:30` are understood and shown in hours; nonsense leaves the figure as it was."""
    planned.actions_.work.trigger()
    form = planned.work.form
    for field, text, minutes in ((form.high, "2,5 h", 150), (form.likely, "1 h 20", 80)):
        field.selectAll()
        write(field, text)
        press(field, Qt.Key.Key_Return)
        assert field.value() == minutes
    assert form.likely.text() == "1 h 20 min"
    form.low.selectAll()
    write(form.low, "soon")
    press(form.low, Qt.Key.Key_Return)
    assert form.low.value() == 30
    press(form, Qt.Key.Key_Escape)
    finish(qtbot, planned, pool)
