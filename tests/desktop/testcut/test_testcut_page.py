"""The test cut in the window, by real clicks: a ladder put out, its outcome taken over and back."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox
from pytestqt.qtbot import QtBot

from fabsched.desktop import settings
from fabsched.desktop.finder import Finder
from fabsched.desktop.shop.editors import Figure
from fabsched.desktop.testcut.page import KEPT, LadderPage
from fabsched.desktop.window import MainWindow
from fabsched.estimate.cut_settings import cut_speeds
from fabsched.files.parts import read_part
from fabsched.files.shop_toml import user_shop
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Drawing
from fabsched.session.ladder_request import LadderRequest
from fabsched.session.pool import Failed, Finished
from tests.desktop.fakes import FakeAsks, FakePool
from tests.desktop.hands import click, press, write

CTRL_SHIFT = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier


def answer(pool: FakePool) -> LadderRequest:
    """Draw the ladder that is asked for."""
    request: LadderRequest
    (request,) = pool.of(LadderRequest)
    try:
        pool.end(request.id, Finished(request.id, request.run()))
    except Exception as error:  # noqa: BLE001 - as the pool does
        pool.end(request.id, Failed(request.id, error))
    QApplication.processEvents()
    return request


@pytest.fixture
def page(planned: MainWindow, pool: FakePool) -> LadderPage:
    """The page, brought up by its keys, with its first ladder drawn."""
    press(planned, Qt.Key.Key_T, CTRL_SHIFT)
    assert planned.testcut.isVisible()
    answer(pool)
    return planned.testcut


def pick(box: QComboBox, text: str) -> None:
    """Choose the entry that begins so, by keys."""
    row = next(row for row in range(box.count()) if box.itemText(row).startswith(text))
    box.setFocus()
    press(box, Qt.Key.Key_Home)
    for _ in range(row):
        press(box, Qt.Key.Key_Down)
    assert box.itemText(box.currentIndex()).startswith(text)


def enter(box: Figure, text: str) -> None:
    """Write a figure over what is in a field."""
    box.setFocus()
    press(box, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    write(box, text)
    press(box, Qt.Key.Key_Return)


def saved(page: LadderPage, pool: FakePool, asks: FakeAsks, folder: Path) -> list[Path]:
    """Save the ladder by its button."""
    asks.path = folder
    click(page.save)
    answer(pool)
    return sorted(folder.iterdir())


def test_it_begins_with_the_sheet_of_the_project(page: LadderPage) -> None:
    """Plywood of 3 mm, as the base plate is; what must never be cut is not offered."""
    assert page.form.material.currentData() == "plywood"
    assert page.form.thickness.figure == 3.0
    offered = [page.form.material.itemData(i) for i in range(page.form.material.count())]
    assert "acrylic" in offered
    assert not {"pvc", "abs", "polycarbonate"} & set(offered)
    assert "mm/s" in page.lines.text()
    assert page.view is not None


def test_the_usual_cautions_are_shown(page: LadderPage) -> None:
    """Beside it as long as it cuts, extraction on, and the watch for fire afterwards."""
    told = " ".join(page.cautions.texts)
    for word in ("stay beside it", "extraction", "fire extinguisher", "until nothing glows"):
        assert word in told


def test_another_sheet_gets_another_ladder(qtbot: QtBot, page: LadderPage, pool: FakePool) -> None:
    """Chosen by its list; what is guessed from another thickness is told."""
    before = page.lines.text()
    pick(page.form.material, "acrylic")
    enter(page.form.thickness, "5")
    qtbot.waitUntil(lambda: bool(pool.of(LadderRequest)))
    asked = answer(pool)
    assert (asked.material.id, asked.thickness_mm) == ("acrylic", 5.0)
    assert page.lines.text() != before
    assert any("first guess" in text for text in page.findings.texts)


def test_of_a_disputed_material_the_feed_is_asked_for(
    qtbot: QtBot, page: LadderPage, pool: FakePool
) -> None:
    """Nothing is made up; with a feed there is a ladder, and the workshop's list is named."""
    pick(page.form.material, "pom")
    qtbot.waitUntil(lambda: bool(pool.of(LadderRequest)))
    answer(pool)
    assert "give a feed" in page.trouble.text
    assert page.view is None
    enter(page.form.feed, "6")
    qtbot.waitUntil(lambda: bool(pool.of(LadderRequest)))
    answer(pool)
    assert page.trouble.text == ""
    assert any("own list" in text for text in page.findings.texts)


def test_the_ladder_is_saved_and_asked_about(
    page: LadderPage, pool: FakePool, asks: FakeAsks, planned: MainWindow, tmp_path: Path
) -> None:
    """DXF, SVG and the file to enter its outcome by; they hold what is drawn."""
    files = saved(page, pool, asks, tmp_path / "out")
    assert [file.name for file in files] == ["testcut.dxf", "testcut.svg", "testcut.toml"]
    drawing, _ = read_part(files[0])
    assert isinstance(drawing, Drawing)
    assert "Files written: 3" in planned.strip.told.text()
    assert "plywood 3 mm" in page.name.text()
    assert page.outcome.isEnabled()


def test_files_are_dragged_out(page: LadderPage) -> None:
    """They are there when they are let go, and the ladder is remembered."""
    assert page.view is not None
    paths = [Path(url.toLocalFile()) for url in page.view.carrying.mime().urls()]
    assert [path.suffix for path in paths] == [".dxf", ".svg", ".toml"]
    assert all(path.is_file() for path in paths)
    assert page.ladder is not None


def test_an_outcome_counts_and_is_taken_back(
    page: LadderPage, pool: FakePool, asks: FakeAsks, planned: MainWindow, tmp_path: Path
) -> None:
    """The sixth square fell out and was measured: k = (hole - square) / 2; one undo, one redo."""
    saved(page, pool, asks, tmp_path / "out")
    session = planned.desk.session
    assert session is not None
    assert page.ladder is not None

    def known() -> tuple[float, float, bool]:
        material = next(m for m in session.shop.sheet_materials if m.id == "plywood")
        speeds = cut_speeds(session.shop.lasers[0], material, 3.0, where="x")
        return speeds.feed_mm_s.likely, speeds.kerf_mm, speeds.measured is not None

    before = known()
    pick(page.outcome.fell, "6:")
    enter(page.outcome.square, "9.84")
    enter(page.outcome.hole, "10.2")
    assert "kerf 0.18 mm" in page.result.text()
    assert f"{page.ladder.feeds_mm_s[4]:g} mm/s" in page.result.text()
    assert "Until now" in page.result.text()
    click(page.take)
    assert known() == (page.ladder.feeds_mm_s[4], 0.18, True)
    assert "own test cut" in user_shop().read_text("utf-8")
    assert "take over a test cut" in planned.actions_.undo.text()
    press(planned, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert known() == before
    planned.actions_.redo.trigger()
    assert known() == (page.ladder.feeds_mm_s[4], 0.18, True)
    planned.actions_.undo.trigger()
    pool.answer()


def test_taking_back_leaves_alone_what_was_changed_since(
    page: LadderPage, pool: FakePool, asks: FakeAsks, planned: MainWindow, tmp_path: Path
) -> None:
    """Somebody wrote into the shop file meanwhile: only the test cut goes, the rest stays."""
    saved(page, pool, asks, tmp_path / "out")
    pick(page.outcome.fell, "3:")
    click(page.take)
    own = user_shop()
    assert "own test cut" in own.read_text("utf-8")
    attic = '[[place]]  # mine\nid = "attic"\nname = "Attic"\n'
    own.write_text(own.read_text("utf-8") + attic, "utf-8")
    planned.actions_.undo.trigger()
    text = own.read_text("utf-8")
    assert "own test cut" not in text
    assert attic in text
    session = planned.desk.session
    assert session is not None
    assert all(s.measured is None for m in session.shop.sheet_materials for s in m.settings)


def test_what_cannot_be_is_told_beside_the_fields(
    page: LadderPage, pool: FakePool, asks: FakeAsks, tmp_path: Path
) -> None:
    """Half a measurement, an odd one, and no square at all: nothing can be taken over."""
    saved(page, pool, asks, tmp_path / "out")
    assert not page.take.isEnabled()
    pick(page.outcome.fell, "4:")
    assert page.take.isEnabled()
    assert any("kerf is not known" in text for text in page.left_open.texts)
    enter(page.outcome.square, "9.8")
    assert "both" in page.refusal.text
    assert not page.take.isEnabled()
    enter(page.outcome.hole, "14")
    assert "measure again" in page.refusal.text
    pick(page.outcome.fell, "none")
    enter(page.outcome.square, "0")
    enter(page.outcome.hole, "0")
    assert "slower ladder" in page.refusal.text
    assert not page.take.isEnabled()
    pick(page.outcome.fell, "9:")
    pick(page.outcome.fits, "3:")
    assert page.take.isEnabled()
    assert any("even the fastest" in text for text in page.left_open.texts)


def test_a_ladder_is_remembered_until_its_outcome_is_told(
    page: LadderPage,
    pool: FakePool,
    asks: FakeAsks,
    planned: MainWindow,
    project: Path,
    tmp_path: Path,
) -> None:
    """The cut is often made days later: it is asked about after the program was started again."""
    saved(page, pool, asks, tmp_path / "out")
    kept = page.ladder
    page.ladder = None
    planned.open_folder(project)
    page.follow()
    assert page.ladder == kept
    pick(page.outcome.fell, "5:")
    click(page.take)
    assert settings.text(KEPT) == ""
    planned.desk.stop()


def test_the_file_of_another_ladder_is_opened(
    page: LadderPage, pool: FakePool, asks: FakeAsks, tmp_path: Path
) -> None:
    """And what is no such file is refused in one line."""
    files = saved(page, pool, asks, tmp_path / "out")
    damaged = tmp_path / "damaged.toml"
    damaged.write_text("feeds_mm_s = []\n")
    asks.path = damaged
    click(page.other)
    assert str(damaged) in page.refusal.text
    files[-1].write_text(files[-1].read_text("utf-8").replace('"plywood"', '"mdf"'), "utf-8")
    asks.path = files[-1]
    click(page.other)
    assert "mdf 3 mm" in page.name.text()
    assert page.refusal.text == ""


def test_a_guessed_feed_leads_to_a_test_cut(
    qtbot: QtBot, planned: MainWindow, pool: FakePool
) -> None:
    """From the part's remark, and from its page; the sheet is the part's."""
    guess = Finding(
        code=Remark.FIRST_GUESS,
        where="parts/base.svg",
        facts={"what": "feed", "value": "9", "thickness": "3", "power": "60", "source": "table"},
    )
    session = planned.desk.session
    assert session is not None
    session.change(
        "edit-part",
        lambda project: replace(
            project,
            parts=tuple(
                replace(p, material="mdf", thickness_mm=4.0) if p.id == "base" else p
                for p in project.parts
            ),
        ),
    )
    qtbot.waitUntil(lambda: bool(pool.held))
    pool.answer(findings={"base": (guess,)})
    qtbot.waitUntil(lambda: bool(planned.parts.rows.rows["base"].findings.buttons))
    (button,) = planned.parts.rows.rows["base"].findings.buttons
    assert button.text() == "Make a test cut"
    click(button)
    assert planned.testcut.isVisible()
    form = planned.testcut.form
    assert (form.material.currentData(), form.thickness.figure) == ("mdf", 4.0)
    planned.show_part("base")
    assert planned.part.testcut.isVisible()
    planned.show_part("louvre")
    assert not planned.part.testcut.isVisible()
    planned.desk.stop()


@pytest.mark.qt_log_ignore("This plugin does not support propagateSizeHints")
def test_it_is_in_the_list_of_actions(qtbot: QtBot, planned: MainWindow) -> None:
    """Found by a word of its own."""
    press(planned, Qt.Key.Key_F3)
    (finder,) = planned.findChildren(Finder)
    write(finder.typed, "test cut")
    press(finder.typed, Qt.Key.Key_Return)
    qtbot.waitUntil(planned.testcut.isVisible)
