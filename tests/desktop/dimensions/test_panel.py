"""Critical dimensions, picked by real clicks on the model and by keys, kept, tried and measured."""

import math

import numpy as np
import pytest
from manifold3d import Manifold
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from fabsched.advise.coupon_items import planned_coupon
from fabsched.advise.coupons import with_play
from fabsched.advise.plates.frames import mesh_of
from fabsched.desktop.dimensions.measure_form import MeasureForm
from fabsched.desktop.dimensions.panel import DimensionPanel
from fabsched.desktop.solid.camera import stand_for
from fabsched.desktop.window import MainWindow
from fabsched.estimate.features import features_of
from fabsched.files.parts import read_part
from fabsched.files.stl import stl_bytes
from fabsched.model.errors import Fault, InputError
from fabsched.model.log import Event
from fabsched.model.project import Axis, Fit, FitKind, Gate, Project
from fabsched.model.shapes import Mesh
from fabsched.model.spread import Spread
from fabsched.session.copy_request import CopyRequest, CopyResponse
from fabsched.session.coupon_request import CouponRequest, CouponResponse
from fabsched.session.features_request import FeaturesRequest, FeaturesResponse
from fabsched.session.pool import Failed, Finished
from fabsched.session.sayings import Saying, Verb
from tests.desktop.conftest import finish
from tests.desktop.fakes import FakePool
from tests.desktop.hands import click, drag, press, write
from tests.session.made import NOW


def plate() -> Mesh:
    """60 x 30 x 10 mm with holes of 10 and 6 mm through it."""
    body = Manifold.cube((60, 30, 10))
    for x, radius in ((20.0, 5.0), (40.0, 3.0)):
        body -= Manifold.cylinder(12, radius, radius, 48).translate((x, 15, -1))
    return mesh_of(body)


@pytest.fixture
def shown(planned: MainWindow, pool: FakePool) -> MainWindow:
    """A window that shows the cradle, which looks like the plate above, from the front."""
    pool.looks["cradle"] = plate()
    assert planned.desk.session is not None
    planned.part.shapes._forget()
    click(planned.parts.rows.rows["cradle"].picture)
    QApplication.processEvents()
    return planned


def fits(window: MainWindow) -> tuple[Fit, ...]:
    """The critical dimensions of the cradle as the project has them."""
    assert window.desk.session is not None
    return next(p for p in window.desk.session.project.parts if p.id == "cradle").fits


def project(window: MainWindow) -> Project:
    """The open project."""
    assert window.desk.session is not None
    return window.desk.session.project


def panel(window: MainWindow) -> DimensionPanel:
    """The panel."""
    return window.part.dimensions


def pick(window: MainWindow, pool: FakePool) -> DimensionPanel:
    """Begin to pick, and let what there is be found."""
    click(panel(window).pick)
    (request,) = pool.of(FeaturesRequest)
    found = features_of(plate())
    pool.end(request.id, Finished(request.id, FeaturesResponse(id=request.id, found=found)))
    QApplication.processEvents()
    return panel(window)


def at(window: MainWindow, point: tuple[float, float, float]) -> QPoint:
    """Where a point of the part is seen."""
    view = window.part.view
    size = (view.width(), view.height())
    stand = stand_for(view.camera, *plate().bounds_mm, size)
    x, y, _ = stand.project(np.array([point]))[0]
    return QPoint(round(x), round(y))


def far_wall(window: MainWindow, x: float, radius: float) -> QPoint:
    """Where the wall of a hole is seen that lies across from the eye, just below its rim."""
    eye = window.part.view.camera.axes[2]
    away = -eye[:2] / np.hypot(*eye[:2]) * radius
    return at(window, (x + float(away[0]), 15 + float(away[1]), 9.0))


def text(here: DimensionPanel, column: int) -> str:
    """What the first row of the list says."""
    item = here.list.topLevelItem(0)
    assert item is not None
    return item.text(column)


def keep(window: MainWindow, name: str) -> None:
    """Keep what is measured under a name."""
    click(panel(window).picking.keep)
    field = panel(window).form.name
    field.selectAll()
    write(field, name)
    press(field, Qt.Key.Key_Return)
    QApplication.processEvents()


def test_a_hole_is_clicked_kept_and_undone(qtbot: QtBot, shown: MainWindow, pool: FakePool) -> None:
    """A click into the hole measures it; kept, it stands in the project with all a coupon needs."""
    here = pick(shown, pool)
    click(shown.part.view, far_wall(shown, 20.0, 5.0))
    assert here.picking.says.text() == "Hole \u2300 10 mm"
    keep(shown, "Pipe")
    (fit,) = fits(shown)
    assert (fit.id, fit.name, fit.kind, fit.axis) == ("pipe", "Pipe", FitKind.HOLE, Axis.Z)
    assert (fit.at_mm, fit.size_mm) == ((20.0, 15.0, 5.0), (10.0, 10.0, 10.0))
    assert (fit.drawn_mm, fit.nominal_mm, fit.tolerance_mm) == (10.0, 10.0, 0.1)
    assert not here.picking.isVisible()
    assert not here.pick.isChecked()
    assert text(here, 1) == "10.00 \u00b1 0.10 mm"
    shown.actions_.undo.trigger()
    assert not fits(shown)
    finish(qtbot, shown, pool)


def test_two_holes_and_two_faces(shown: MainWindow, pool: FakePool) -> None:
    """A second click measures between; a third begins anew; what is not parallel says so."""
    here, view = pick(shown, pool), shown.part.view
    click(view, far_wall(shown, 20.0, 5.0))
    click(view, far_wall(shown, 40.0, 3.0))
    assert here.picking.says.text() == "Distance of 20 mm"
    click(view, at(shown, (30.0, 5.0, 10.0)))
    assert here.picking.says.text().startswith("Now a second face")
    assert not here.picking.keep.isEnabled()
    click(view, far_wall(shown, 20.0, 5.0))
    assert here.picking.says.text().startswith("Nothing can be measured between these two")


def test_turning_the_model_picks_nothing_and_beside_it_there_is_nothing(
    shown: MainWindow, pool: FakePool
) -> None:
    """Dragging still turns it; a click beside it says what to click."""
    here, view = pick(shown, pool), shown.part.view
    before = view.camera
    drag(view, QPoint(100, 100), QPoint(160, 100))
    assert view.camera != before
    assert not here.picking.features
    click(view, QPoint(3, 3))
    assert "nothing to measure there" in here.picking.says.text()


def test_keys_alone_are_enough(qtbot: QtBot, shown: MainWindow, pool: FakePool) -> None:
    """Ticks in the list measure as clicks do, and show what they are about on the model."""
    here = pick(shown, pool)
    names = [here.picking.list.item(row).text() for row in range(here.picking.list.count())]
    assert names[0].startswith("Hole \u2300 10 mm, 10 mm deep")
    assert sum(name.startswith("Face towards ") for name in names) == 6
    here.picking.list.setFocus()
    press(here.picking.list, Qt.Key.Key_Space)
    assert here.picking.says.text() == "Hole \u2300 10 mm"
    before = shown.part.view.picture
    press(here.picking.list, Qt.Key.Key_Down)
    press(here.picking.list, Qt.Key.Key_Space)
    assert here.picking.says.text() == "Distance of 20 mm"
    assert shown.part.view.picture is not before
    keep(shown, "Spacing")
    assert [(fit.kind, fit.drawn_mm) for fit in fits(shown)] == [(FitKind.OTHER, 20.0)]
    finish(qtbot, shown, pool)


def test_escape_leaves_picking(shown: MainWindow, pool: FakePool) -> None:
    """The card closes, the button comes up, clicks turn nothing into a choice any more."""
    here = pick(shown, pool)
    press(here.picking.list, Qt.Key.Key_Escape)
    assert not here.picking.isVisible()
    assert not here.pick.isChecked()
    click(shown.part.view, far_wall(shown, 20.0, 5.0))
    assert not here.picking.features


def test_it_is_drawn_on_the_model(qtbot: QtBot, shown: MainWindow, pool: FakePool) -> None:
    """What is kept is seen at its place, and gone with it."""
    before = shown.part.view.grab().toImage()
    pick(shown, pool)
    click(shown.part.view, far_wall(shown, 20.0, 5.0))
    keep(shown, "Pipe")
    qtbot.waitUntil(lambda: shown.part.view.grab().toImage() != before)
    spot = at(shown, (20.0, 10.0, 5.0))
    with_it = shown.part.view.grab().toImage()
    click(panel(shown).remove)
    assert not fits(shown)
    assert not panel(shown).list.isVisible()
    without = shown.part.view.grab().toImage()
    near = [QPoint(dx, dy) + spot for dx in range(-3, 4) for dy in range(-3, 4)]
    assert any(with_it.pixel(point) != without.pixel(point) for point in near)
    finish(qtbot, shown, pool)


@pytest.fixture
def kept(qtbot: QtBot, shown: MainWindow, pool: FakePool) -> MainWindow:
    """A window with the hole as a critical dimension, with play wanted."""
    pick(shown, pool)
    click(shown.part.view, far_wall(shown, 20.0, 5.0))
    click(panel(shown).picking.keep)
    click(panel(shown).form.play_wanted, QPoint(8, panel(shown).form.play_wanted.height() // 2))
    click(panel(shown).form.keep)
    finish(qtbot, shown, pool)
    return shown


def test_it_is_changed_in_its_form(qtbot: QtBot, kept: MainWindow, pool: FakePool) -> None:
    """Fields take new figures; without a name it says so where the name stands."""
    form = panel(kept).form
    assert fits(kept)[0].clearance_mm == 0.2
    click(panel(kept).change)
    form.nominal.setValue(10.2)
    form.tolerance.setValue(0.05)
    form.name.clear()
    click(form.keep)
    assert form.note.text == "Give it a name."
    write(form.name, "Pipe")
    press(form.name, Qt.Key.Key_Return)
    fit = fits(kept)[0]
    assert (fit.name, fit.nominal_mm, fit.tolerance_mm) == ("Pipe", 10.2, 0.05)
    finish(qtbot, kept, pool)


def test_what_is_not_touched_stays_as_it_was(
    qtbot: QtBot, kept: MainWindow, pool: FakePool
) -> None:
    """Opening the form and keeping it changes nothing."""
    before = fits(kept)
    click(panel(kept).change)
    click(panel(kept).form.keep)
    assert fits(kept) == before
    finish(qtbot, kept, pool)


def test_a_coupon_is_made_for_it(qtbot: QtBot, kept: MainWindow, pool: FakePool) -> None:
    """One click cuts it in the background; the part, its check and its file are then there."""
    click(panel(kept).coupon)
    assert not panel(kept).coupon.isEnabled()
    (request,) = pool.of(CouponRequest)
    planned = planned_coupon(request.project, request.part, request.fit, plate(), request.shop)
    pool.end(request.id, Finished(request.id, CouponResponse(id=request.id, planned=planned)))
    QApplication.processEvents()
    session = kept.desk.session
    assert session is not None
    added = session.project.parts[-1]
    assert (session.folder / added.file).is_file()
    assert session.project.gates[-1].redo == (added.id,)
    assert "with a check after it" in panel(kept).told.text
    assert not panel(kept).coupon.isEnabled()
    kept.actions_.undo.trigger()
    assert panel(kept).coupon.isEnabled()
    finish(qtbot, kept, pool)


def test_a_coupon_that_cannot_be_made_says_why(kept: MainWindow, pool: FakePool) -> None:
    """The reason stands above the list."""
    click(panel(kept).coupon)
    (request,) = pool.of(CouponRequest)
    pool.end(request.id, Failed(request.id, InputError(Fault.FIT_MISSED, "cradle.stl")))
    QApplication.processEvents()
    assert panel(kept).trouble.text
    assert panel(kept).coupon.isEnabled()


def test_a_measure_is_noted_and_told_to_the_log(
    qtbot: QtBot, kept: MainWindow, pool: FakePool
) -> None:
    """Out of tolerance the gate has found a fault; the sentence says what to draw otherwise."""
    click(panel(kept).measure)
    form = panel(kept).measuring
    form.measured.setValue(9.8)
    form.trial.setCurrentIndex(form.trial.findText("4: +0.2 mm"))
    form.trial.activated.emit(form.trial.currentIndex())
    assert "0.2 mm too small: draw it 0.2 mm larger" in form.outcome.text()
    assert "Draw it 0.2 mm wider" in form.outcome.text()
    assert form.log.currentText() == "Test fit of the cradle: found a fault"
    click(form.draw)  # by hand, that is
    click(form.keep)
    fit = fits(kept)[0]
    assert (fit.measured_mm, fit.fitting_mm) == (9.8, 0.2)
    assert text(panel(kept), 2) == "\u2717 9.8 mm"
    assert kept.desk.session is not None
    told = [e for e in kept.desk.session.log.entries if e.kind is Event.FOUND]
    assert [entry.why for entry in told] == [f"{fit.name} measures 9.8 mm"]
    finish(qtbot, kept, pool)


def test_within_tolerance_all_is_well(kept: MainWindow) -> None:
    """The proposal for the log follows the figure."""
    click(panel(kept).measure)
    form = panel(kept).measuring
    form.measured.setValue(10.05)
    assert form.outcome.text() == "10.05 mm is within the tolerance."
    assert form.log.currentText() == "Test fit of the cradle: all is well"
    form.log.setCurrentIndex(0)
    click(form.leave)
    assert fits(kept)[0].measured_mm is None


def test_the_part_is_drawn_like_the_copy_that_fits(
    qtbot: QtBot, kept: MainWindow, pool: FakePool
) -> None:
    """In the background: the part has a file of its own then, one undo brings back the one it had."""
    before = next(p for p in project(kept).parts if p.id == "cradle")
    click(panel(kept).measure)
    form = panel(kept).measuring
    assert not form.draw.isVisible()
    form.trial.setCurrentIndex(form.trial.findText("4: +0.2 mm"))
    form.trial.activated.emit(form.trial.currentIndex())
    assert form.draw.isVisible()
    form.log.setCurrentIndex(0)
    click(form.keep)
    (request,) = pool.of(CopyRequest)
    content = stl_bytes(with_play(plate(), request.fit, request.play_mm))
    made = CopyResponse(
        id=request.id, part=request.part.id, fit=request.fit, play_mm=0.2, content=content
    )
    pool.end(request.id, Finished(request.id, made))
    QApplication.processEvents()
    assert not form.isVisible()
    part = next(p for p in project(kept).parts if p.id == "cradle")
    assert kept.desk.session is not None
    shape, _ = read_part(kept.desk.session.folder / part.file, part.unit)
    assert isinstance(shape, Mesh)
    # The hole of 10 mm gets 0.2 mm wider over 10 mm (annulus; a polygon of 48 sides has 0.3 % less).
    lost_mm3 = math.pi / 4 * (10.2**2 - 10.0**2) * 10
    assert plate().volume_mm3 - shape.volume_mm3 == pytest.approx(lost_mm3, rel=0.01)
    assert fits(kept)[0].fitting_mm == 0.0
    assert fits(kept)[0].drawn_mm == pytest.approx(10.2, abs=0.03)
    assert fits(kept)[0].wanted_mm == pytest.approx(10.0, abs=0.03)
    kept.actions_.undo.trigger()
    assert next(p for p in project(kept).parts if p.id == "cradle") == before
    finish(qtbot, kept, pool)


def test_trying_the_coupon_is_passed_by_any_copy_that_fits(qtbot: QtBot) -> None:
    """Whatever the copy as drawn measures: what there was to find out is known."""
    host = QWidget()
    qtbot.addWidget(host)
    form = MeasureForm(lambda: NOW, host)
    told: list[tuple[Fit, Saying | None, bool]] = []
    form.ready.connect(lambda *got: told.append(got))
    fit = Fit(
        id="pipe", name="Pipe", at_mm=(0, 0, 0), size_mm=(10, 10, 10), clearance_mm=0.1,
        nominal_mm=10.0, tolerance_mm=0.05, measured_mm=9.8,
    )  # fmt: skip
    gate = Gate(id="cradle-pipe-check", name="Try it", minutes=Spread(1, 2, 3), chance=0.1)
    form.begin(fit, gate, tries=True)
    assert form.log.currentText() == "Try it: found a fault"
    form.trial.setCurrentIndex(form.trial.findText("4: +0.2 mm"))
    form.trial.activated.emit(form.trial.currentIndex())
    assert form.log.currentText() == "Try it: all is well"
    form.finish()
    ((noted, saying, draws),) = told
    assert (noted.fitting_mm, draws) == (0.2, True)
    assert saying is not None
    assert (saying.verb, saying.why) == (Verb.FINISH, "Pipe: copy 4 fits")


def test_drawings_have_none(planned: MainWindow) -> None:
    """For a cut part there is nothing to pick."""
    click(planned.parts.rows.rows["base"].picture)
    assert not panel(planned).isVisible()


def test_another_part_closes_what_is_open(shown: MainWindow, pool: FakePool) -> None:
    """Features of one part are not measured on another."""
    here = pick(shown, pool)
    click(shown.parts.rows.rows["louvre"].picture)
    assert not here.picking.isVisible()
    assert not here.pick.isChecked()
