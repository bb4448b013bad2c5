"""The form for work and checks: everything the project file knows, by clicks and keys."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QAbstractSpinBox, QCheckBox, QComboBox, QToolButton, QWidget
from pytestqt.qtbot import QtBot

from fabsched.desktop.window import MainWindow
from fabsched.files.project_toml import gate_fields, read_project
from fabsched.model.project import Gate, Work
from fabsched.model.spread import Spread
from tests.desktop.conftest import finish
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click, press, write

VIENNA = ZoneInfo("Europe/Vienna")


@pytest.fixture
def form(planned: MainWindow) -> MainWindow:
    """A window with the form open for new work, its details unfolded."""
    click(planned.work.add)
    click(planned.work.form.more)
    return planned


def tick(box: QCheckBox) -> None:
    """Click on the box itself, not beside its text."""
    click(box, QPoint(8, box.height() // 2))


def item(window: MainWindow, name: str) -> Work:
    """Work or a gate by its name."""
    assert window.desk.session is not None
    project = window.desk.session.project
    return next(work for work in (*project.works, *project.gates) if work.name == name)


FIELDS = {
    "name": "name",
    "minutes": "likely",
    "after": "after",
    "place": "details.place",
    "splittable": "details.splittable",
    "undoable": "details.undoable",
    "needed": "details.needed",
    "skill": "details.skill",
    "skills": "details.skills",
    "early": "details.early",
    "not_before": "details.moment",
    "late_minutes": "details.late",
    "people_needed": "details.people",
    "chance": "details.chance",
    "redo": "details.redo",
    "eases": "details.eases",
    "left": "details.left",
    "shows": "details.shows",
}
"""Where each field of the project file is set in the form."""


def test_every_field_of_the_project_file_has_its_place(form: MainWindow) -> None:
    """Nothing that work or a check can say is left to the file alone; each has name and tooltip."""
    assert set(FIELDS) == set(gate_fields(VIENNA)) - {"id"}
    for path in FIELDS.values():
        widget: object = form.work.form
        for name in path.split("."):
            widget = getattr(widget, name)
        for each in widget if isinstance(widget, tuple) else (widget,):
            assert isinstance(each, QWidget)
            if isinstance(each, QComboBox | QAbstractSpinBox | QToolButton | QCheckBox):
                assert each.toolTip()


def test_what_may_come_late_is_told_and_read_back(
    qtbot: QtBot, form: MainWindow, pool: FakePool
) -> None:
    """A moment and three figures go into the project; changed later, the rest stays."""
    fields, details = form.work.form, form.work.form.details
    write(fields.name, "Fit the display")
    tick(details.not_before)
    details.moment.show_moment(int(datetime(2026, 3, 14, 10, tzinfo=VIENNA).timestamp()))
    assert not details.late[0].isEnabled()
    tick(details.may_be_late)
    for field, text in zip(details.late, ("0", "1 h 30", "240"), strict=True):
        field.selectAll()
        write(field, text)
    click(fields.keep)
    work = item(form, "Fit the display")
    assert work.not_before == datetime(2026, 3, 14, 10, tzinfo=VIENNA)
    assert work.late_minutes == Spread(0, 90, 240)
    click(form.work.rows.rows[work.id].edit)
    click(fields.more)
    assert [field.value() for field in details.late] == [0, 90, 240]
    tick(details.may_be_late)
    click(fields.keep)
    assert item(form, "Fit the display").late_minutes is None
    assert item(form, "Fit the display").not_before == work.not_before
    finish(qtbot, form, pool)


def test_how_many_people_it_takes_is_told_and_read_back(
    qtbot: QtBot, form: MainWindow, pool: FakePool
) -> None:
    """Arrow keys count people; one is the least, and so is what work takes that says nothing."""
    fields, details = form.work.form, form.work.form.details
    write(fields.name, "Lift the case")
    assert details.people.value() == 1
    details.people.setFocus()
    press(details.people, Qt.Key.Key_Down)
    press(details.people, Qt.Key.Key_Up)
    click(fields.keep)
    session = form.desk.session
    assert session is not None
    work = item(form, "Lift the case")
    assert work.people_needed == 2
    assert read_project(session.folder).works[-1].people_needed == 2
    click(form.work.rows.rows[work.id].edit)
    click(fields.more)
    assert details.people.value() == 2
    press(details.people, Qt.Key.Key_Down)
    click(fields.keep)
    assert item(form, "Lift the case").people_needed == 1
    finish(qtbot, form, pool)


def test_several_skills_are_asked_of_one_person_and_read_back(
    qtbot: QtBot, form: MainWindow, pool: FakePool
) -> None:
    """Those of the shop's people are offered; what is chosen is in the file, and let go it is not."""
    fields, details = form.work.form, form.work.form.details
    write(fields.name, "Fit the display")
    first = details.skills.menu().actions()[0]
    asked = (first.data(),)
    first.trigger()
    click(fields.keep)
    session = form.desk.session
    assert session is not None
    assert read_project(session.folder).works[-1].skills == asked
    click(form.work.rows.rows[item(form, "Fit the display").id].edit)
    click(fields.more)
    assert details.skills.chosen == asked
    details.skills.menu().actions()[0].trigger()
    click(fields.keep)
    assert item(form, "Fit the display").skills == ()
    finish(qtbot, form, pool)


def test_figures_that_fall_are_refused_where_they_stand(form: MainWindow) -> None:
    """The form stays open and says which three are meant."""
    fields, details = form.work.form, form.work.form.details
    write(fields.name, "x")
    for box in (details.not_before, details.may_be_late):
        tick(box)
    details.late[0].setValue(300)
    click(fields.keep)
    assert "may come late must rise" in fields.note.text
    assert fields.isVisible()


def test_place_skill_and_what_may_be_done_with_it(
    qtbot: QtBot, form: MainWindow, pool: FakePool
) -> None:
    """Places and skills come from the shop; boxes stand for yes and no."""
    fields, details = form.work.form, form.work.form.details
    write(fields.name, "Cut by hand")
    details.place.setFocus()
    press(details.place, Qt.Key.Key_End)
    assert details.skill.itemText(0) == "none: anybody can"
    for box in (details.needed, details.early, details.splittable, details.undoable):
        tick(box)
    click(fields.keep)
    work = item(form, "Cut by hand")
    assert form.desk.session is not None
    assert work.place == form.desk.session.shop.places[-1].id
    assert (work.needed, work.early, work.splittable, work.undoable) == (False, True, True, True)
    finish(qtbot, form, pool)


def test_a_check_is_made_in_the_window(qtbot: QtBot, form: MainWindow, pool: FakePool) -> None:
    """Work that looks for a fault says how likely it finds one, and what is then done again."""
    fields, details = form.work.form, form.work.form.details
    write(fields.name, "Try the louvre")
    assert not details.chance.isVisible()
    tick(details.is_gate)
    details.chance.setValue(15)
    details.redo.menu().actions()[0].trigger()
    click(fields.keep)
    gate = item(form, "Try the louvre")
    assert isinstance(gate, Gate)
    assert (gate.chance, gate.redo, gate.eases, gate.left) == (0.15, ("louvre",), "", 0.0)
    click(form.work.rows.rows[gate.id].edit)
    click(fields.more)
    details.eases.setCurrentIndex(details.eases.findData("fit"))
    details.left.setValue(25)
    click(fields.keep)
    changed = item(form, "Try the louvre")
    assert isinstance(changed, Gate)
    assert (changed.chance, changed.eases, changed.left) == (0.15, "fit", 0.25)
    finish(qtbot, form, pool)


def test_opening_and_keeping_changes_nothing(planned: MainWindow) -> None:
    """However much is shown, what is not touched stays to the last digit."""
    for ident in list(planned.work.rows.rows):
        assert planned.desk.session is not None
        before = planned.desk.session.project
        click(planned.work.rows.rows[ident].edit)
        click(planned.work.form.more)
        click(planned.work.form.keep)
        assert planned.desk.session.project == before


def test_the_draft_holds_the_details_too(form: MainWindow) -> None:
    """What was typed and not entered comes back whole."""
    fields, details = form.work.form, form.work.form.details
    write(fields.name, "Paint")
    for box in (details.not_before, details.may_be_late, details.early, details.is_gate):
        tick(box)
    details.late[2].setValue(500)
    details.chance.setValue(40)
    draft = fields.draft()
    click(fields.leave)
    click(form.work.add)
    assert not details.early.isChecked()
    fields.take_draft(draft)
    assert fields.draft() == draft


def test_the_form_never_pushes_the_window_apart(form: MainWindow) -> None:
    """With everything unfolded the smallest window stays as small, and the form scrolls."""
    form.resize(1024, 700)
    tick(form.work.form.details.is_gate)
    assert (form.width(), form.height()) == (1024, 700)
    assert form.work.sheet.verticalScrollBar().maximum() > 0


@pytest.mark.parametrize("wrong", ["nonsense", "1:2", "200 h", "9" * 400])
def test_what_is_no_time_is_never_taken_for_one(form: MainWindow, wrong: str) -> None:
    """It is said under the form, the figure before it is back, and only a second click takes that."""
    fields = form.work.form
    write(fields.name, "Sand")
    fields.likely.setFocus()
    fields.likely.selectAll()
    write(fields.likely, wrong)
    click(fields.keep)
    assert fields.isVisible()
    assert fields.likely.value() == 45
    assert wrong[:20] in fields.note.text
    assert "was not taken" in fields.note.text
    click(fields.keep)
    assert not fields.isVisible()
    assert item(form, "Sand").minutes == Spread(30, 45, 90)


def test_a_time_written_anew_after_a_refusal_is_taken_at_once(form: MainWindow) -> None:
    """What was said goes with the first letter."""
    fields = form.work.form
    write(fields.name, "Sand")
    for text in ("soon", "1 h 10"):
        fields.likely.setFocus()
        fields.likely.selectAll()
        write(fields.likely, text)
        press(fields.likely, Qt.Key.Key_Return)
    assert fields.note.text == ""
    click(fields.keep)
    assert item(form, "Sand").minutes == Spread(30, 70, 90)
