"""The page of one part, by real clicks and keys."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from fabsched.desktop.window import MainWindow
from fabsched.model.estimates import Pose
from fabsched.model.operations import Operation
from fabsched.model.project import Part
from fabsched.model.shapes import Drawing, Mesh
from fabsched.model.spread import Spread
from fabsched.session.pool import Finished
from fabsched.session.requests import PosesRequest, PosesResponse
from tests.desktop.conftest import finish
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click, press, write

POSES = tuple(
    Pose(
        turn_deg=(turn, 0.0, 0.0),
        fits=True,
        size_mm=(20.0, 20.0, 30.0),
        support_mm3=0.0,
        contact_mm2=400.0,
        rough_s=Spread(3000, 3600, 4200),
    )
    for turn in (90.0, 180.0)
)


def part(window: MainWindow, ident: str) -> Part:
    """A part as the project has it."""
    assert window.desk.session is not None
    return next(p for p in window.desk.session.project.parts if p.id == ident)


@pytest.fixture
def cradle(planned: MainWindow) -> MainWindow:
    """A window that shows the cradle in full."""
    click(planned.parts.rows.rows["cradle"].picture)
    return planned


def test_its_picture_leads_to_a_part(cradle: MainWindow) -> None:
    """Its shape, its settings and what is known of it are shown, and its name in the field."""
    page = cradle.part
    assert page.isVisible()
    assert isinstance(page.view.shape, Mesh)
    assert page.fields.name.text() == "Sensor cradle with a rather long name"
    assert "1 h 15 min" in page.facts.text()
    assert not page.fields.thickness.isVisible()


def test_every_row_has_a_picture(planned: MainWindow) -> None:
    """Prints are shown as solids, cuts by their outline; a key press is enough to see more."""
    for row in planned.parts.rows.rows.values():
        assert not row.picture.icon().isNull()
    planned.parts.rows.rows["base"].picture.setFocus()
    press(planned.parts.rows.rows["base"].picture, Qt.Key.Key_Space)
    assert isinstance(planned.part.view.shape, Drawing)
    assert planned.part.fields.thickness.isVisible()
    assert not planned.part.fields.per_run.isVisible()


def test_a_field_changes_the_project_and_can_be_undone(
    qtbot: QtBot, cradle: MainWindow, pool: FakePool
) -> None:
    """A new name is saved when the field is left; undo brings the old one back."""
    name = cradle.part.fields.name
    name.setFocus()
    name.selectAll()
    write(name, "Cradle")
    press(name, Qt.Key.Key_Return)
    assert part(cradle, "cradle").name == "Cradle"
    assert cradle.actions_.undo.text() == "&Undo: change the part"
    cradle.actions_.undo.trigger()
    assert name.text() == "Sensor cradle with a rather long name"
    click(cradle.part.fields.needed)
    assert not part(cradle, "cradle").needed
    finish(qtbot, cradle, pool)


def test_few_on_a_bed(qtbot: QtBot, cradle: MainWindow, pool: FakePool) -> None:
    """The field takes a number; at nothing it is as many as fit."""
    field = cradle.part.fields.per_run
    assert field.text() == "as many as fit"
    QTest.keyClick(field, Qt.Key.Key_Up)
    assert part(cradle, "cradle").per_run == 1
    QTest.keyClick(field, Qt.Key.Key_Down)
    assert part(cradle, "cradle").per_run is None
    finish(qtbot, cradle, pool)


def test_ways_to_lie_are_found_and_one_is_taken(
    qtbot: QtBot, cradle: MainWindow, pool: FakePool
) -> None:
    """Asked for by a click, listed best first, taken by another."""
    poses = cradle.part.poses
    click(poses.look)
    (ident,) = [i for i, (request, _) in pool.held.items() if isinstance(request, PosesRequest)]
    pool.end(ident, Finished(ident, PosesResponse(id=ident, poses=POSES)))
    QApplication.processEvents()
    assert poses.list.topLevelItemCount() == 2
    press(poses.list, Qt.Key.Key_Down)
    click(poses.take)
    assert part(cradle, "cradle").turn_deg == (180.0, 0.0, 0.0)
    finish(qtbot, cradle, pool)


def test_a_part_that_is_gone_is_no_longer_shown(
    qtbot: QtBot, cradle: MainWindow, pool: FakePool
) -> None:
    """Removed from the project, it leaves the page with what to do."""
    click(cradle.parts.rows.rows["cradle"].remove)
    assert cradle.part.hint.isVisible()
    assert not cradle.part.view.isVisible()
    finish(qtbot, cradle, pool)


def test_what_is_done_along_a_layer_is_set_by_keys_and_undone(planned: MainWindow) -> None:
    """The table shows what was found; one step down scores, and undo takes it back."""
    press(planned.parts.rows.rows["base"].picture, Qt.Key.Key_Space)
    table = planned.part.layers
    assert table.isVisible()
    assert {name: box.currentText() for name, box in table.boxes.items()} == {
        "border": "cuts",
        "text": "cuts",
    }
    press(table.boxes["text"], Qt.Key.Key_Down)
    assert part(planned, "base").layers == (("text", Operation.SCORE),)
    press(table.boxes["text"], Qt.Key.Key_Down)
    assert part(planned, "base").layers == (("text", Operation.ENGRAVE),)
    assert table.boxes["text"].currentText() == "engraves"
    assert table.boxes["border"].currentText() == "cuts"
    planned.actions_.undo.trigger()
    assert part(planned, "base").layers == (("text", Operation.SCORE),)


def test_solids_have_no_layers(cradle: MainWindow) -> None:
    """Nothing is offered for a print."""
    assert not cradle.part.layers.isVisible()
