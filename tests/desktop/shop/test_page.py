"""The page of the shop, by real clicks and keys."""

from dataclasses import fields
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from fabsched.desktop.shop.editors import (
    AloneEditor,
    ChoiceEditor,
    CornersEditor,
    CountEditor,
    FigureEditor,
    ListEditor,
    SizesEditor,
    TextEditor,
)
from fabsched.desktop.shop.form import InnerEditor
from fabsched.desktop.shop.hours_editor import BusyEditor, HoursEditor
from fabsched.desktop.shop.names import GROUPS, LABELS, tip_of
from fabsched.desktop.shop.page import ShopPage
from fabsched.desktop.shop.stock_words import stock_text
from fabsched.desktop.theme import palette
from fabsched.desktop.window import LEAST_PX, MainWindow
from fabsched.files.shop_text import LISTS, Record, records_of
from fabsched.files.shop_toml import KINDS, user_shop
from fabsched.model.shop import Build, Motion
from fabsched.session.stock_records import FilamentStock, SheetStock, Stock
from tests.desktop.conftest import finish
from tests.desktop.fakes import FakeAsks, FakePool
from tests.desktop.hands import click, drag, press, write

EVENT = (
    "BEGIN:VEVENT\nDTSTART:20260314T080000Z\nDURATION:PT2H\nRRULE:FREQ=DAILY;COUNT=3\nEND:VEVENT"
)


@pytest.fixture
def page(qtbot: QtBot, planned: MainWindow, pool: FakePool) -> ShopPage:
    """The page, brought up by its key."""
    press(planned, Qt.Key.Key_8, Qt.KeyboardModifier.ControlModifier)
    assert planned.shop.isVisible()
    finish(qtbot, planned, pool)
    return planned.shop


def pick(page: ShopPage, text: str) -> None:
    """Click an entry of the list whose text begins so."""
    (item,) = (item for item in page._items() if item.text(0).startswith(text))
    click(page.list.viewport(), page.list.visualItemRect(item).center())


def of(page: ShopPage, kind: str, ident: str) -> Record:
    """A record as the shop has it."""
    return next(r for r in records_of(page.shop, kind) if getattr(r, "id", "") == ident)


def enter(box: QWidget, text: str) -> None:
    """Write a text over what is in a field, and go on."""
    box.setFocus()
    press(box, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    write(box, text)
    press(box, Qt.Key.Key_Return)


def editor(page: ShopPage, name: str, kind: type) -> QWidget:
    """The editor of a field."""
    assert page.form is not None
    found = page.form.editors[name]
    assert isinstance(found, kind)
    return found


def undo(page: ShopPage) -> None:
    """Press the keys of undo."""
    press(page.window(), Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)


def settle(qtbot: QtBot, page: ShopPage, pool: FakePool) -> None:
    """Let what the changes started come to its end."""
    window = page.window()
    assert isinstance(window, MainWindow)
    finish(qtbot, window, pool)


def test_the_list_says_what_there_is(page: ShopPage) -> None:
    """Every kind has its heading, and stock says how much there is; the first place is shown."""
    texts = [text for _, text in page._listed()]
    assert texts[:5] == ["Home", "Shared workshop", "Maker", "Printer", "Laser cutter"]
    assert "pla: PLA, 1000 g" in texts
    assert page.form is not None
    assert page.form.kind == "place"
    assert "first change" in page.file.text()
    assert set(GROUPS) == set(LISTS) - {"travel"}


def test_painting_a_week_changes_the_hours(qtbot: QtBot, page: ShopPage, pool: FakePool) -> None:
    """Dragged hours are in the file and in the text below; undo takes them, and the file, away."""
    pick(page, "Shared workshop")
    hours = page.form.editors["hours"] if page.form else None
    assert isinstance(hours, HoursEditor)
    view = hours.week
    start, end = (view.rect_of((0, q)).center().toPoint() for q in (40, 47))
    drag(view, start, end)
    wanted = "Mo 10:00-12:00; Sa 10:00-18:00; Su 12:00-16:00"
    assert hours.line.text() == wanted
    assert f'hours = "{wanted}"' in user_shop().read_text("utf-8")
    assert page.file.text() == f"Kept in {user_shop()}"
    undo(page)
    assert hours.line.text() == "Sa 10:00-18:00; Su 12:00-16:00"
    assert not user_shop().exists()
    settle(qtbot, page, pool)


def test_hours_that_are_no_week_are_shown_as_text(
    qtbot: QtBot, page: ShopPage, pool: FakePool
) -> None:
    """Written hours are taken; what cannot be read is told below them, and what is there stays."""
    pick(page, "Home")
    hours = page.form.editors["hours"] if page.form else None
    assert isinstance(hours, HoursEditor)
    enter(hours.line, "whenever")
    assert hours.note.isVisible()
    assert "cannot be read" in hours.note.text
    assert of(page, "place", "home").hours == "24/7"  # type: ignore[union-attr]  # a place
    enter(hours.line, "Dec 24 off; Mo-Su 08:00-20:00")
    assert not hours.note.isVisible()
    assert hours.week.isVisible() != hours.hint.isVisible()
    enter(hours.line, "Mo-Su 08:00-20:00; Dec 24 off")
    assert hours.hint.isVisible()
    assert not hours.week.isVisible()
    settle(qtbot, page, pool)


def test_figures_have_units_and_ranges(qtbot: QtBot, page: ShopPage, pool: FakePool) -> None:
    """A figure is taken with the unit behind it; shares are shown out of a hundred."""
    pick(page, "Printer")
    heat = editor(page, "heat_s", FigureEditor)
    assert isinstance(heat, FigureEditor)
    assert heat.box.text() == "180 s"
    enter(heat.box, "95.5")
    fails = editor(page, "fail_hour", FigureEditor)
    assert isinstance(fails, FigureEditor)
    assert fails.box.text() == "1.5 %"
    enter(fails.box, "2.25")
    bed = editor(page, "bed_mm", SizesEditor)
    assert isinstance(bed, SizesEditor)
    enter(bed.boxes[2], "180")
    printer = of(page, "printer", "printer")
    assert (printer.heat_s, printer.fail_hour) == (95.5, 0.0225)  # type: ignore[union-attr]  # a printer
    assert printer.bed_mm == (220, 220, 180)  # type: ignore[union-attr]  # likewise
    assert "fail_hour = 0.0225" in user_shop().read_text("utf-8")
    settle(qtbot, page, pool)


def test_how_a_printer_moves_is_behind_a_button(
    qtbot: QtBot, page: ShopPage, pool: FakePool
) -> None:
    """Opened by Space; a figure inside is written into the printer's own table."""
    pick(page, "Printer")
    motion = editor(page, "motion", InnerEditor)
    assert isinstance(motion, InnerEditor)
    assert not motion.body.isVisible()
    motion.opener.setFocus()
    press(motion.opener, Qt.Key.Key_Space)
    assert motion.body.isVisible()
    walls = motion.editors["wall_mm_s"]
    assert isinstance(walls, FigureEditor)
    enter(walls.box, "42")
    assert of(page, "printer", "printer").motion.wall_mm_s == 42  # type: ignore[union-attr]  # a printer
    settle(qtbot, page, pool)


def test_a_laser_is_never_alone(qtbot: QtBot, page: ShopPage, pool: FakePool) -> None:
    """Its form says so and has no choice; a printer's has one, with the usual caution."""
    pick(page, "Laser cutter")
    assert page.form is not None
    assert "unattended" not in page.form.editors
    assert page.form.cautions.text.startswith("Somebody stays beside a laser")
    pick(page, "Printer")
    assert "smoke alarm" in page.form.cautions.text
    alone = editor(page, "unattended", AloneEditor)
    assert isinstance(alone, AloneEditor)
    assert alone.box.currentText() == "Always"
    press(alone.box, Qt.Key.Key_Down)
    assert of(page, "printer", "printer").unattended == "nearby"  # type: ignore[union-attr]  # a printer
    assert page.form.cautions.isVisible()
    press(alone.box, Qt.Key.Key_Down)
    assert of(page, "printer", "printer").unattended is False  # type: ignore[union-attr]  # a printer
    assert not page.form.cautions.isVisible()
    settle(qtbot, page, pool)


@pytest.mark.qt_log_ignore("This plugin does not support")  # a menu without a screen; not ours
def test_something_new_is_named_copied_and_removed(
    qtbot: QtBot, page: ShopPage, pool: FakePool
) -> None:
    """Added by keys alone, its name has the focus; a copy has one of its own; Delete takes out."""
    QTimer.singleShot(50, lambda: press(page.add.menu(), Qt.Key.Key_Return))
    QTimer.singleShot(40, lambda: press(page.add.menu(), Qt.Key.Key_Down))
    page.list.setFocus()
    press(
        page.list, Qt.Key.Key_Insert
    )  # the menu has a loop of its own until a key is pressed in it
    qtbot.waitUntil(lambda: len(page.shop.places) == 3)
    name = editor(page, "name", TextEditor)
    assert isinstance(name, TextEditor)
    assert QApplication.focusWidget() is name.box
    enter(name.box, "Garage")
    assert [text for _, text in page._listed()][2] == "Garage"
    click(page.copy)
    assert page.record == of(page, "place", "new-place-2")
    page.list.setFocus()
    press(page.list, Qt.Key.Key_Delete)
    assert [p.name for p in page.shop.places] == ["Home", "Shared workshop", "Garage"]
    for _ in range(4):
        undo(page)
    assert [p.name for p in page.shop.places] == ["Home", "Shared workshop"]
    settle(qtbot, page, pool)


def test_a_place_that_is_needed_stays(page: ShopPage) -> None:
    """Why it cannot be removed stands above the list, until something else is chosen."""
    pick(page, "Home")
    click(page.remove)
    assert "person 'maker': base" in page.trouble.text
    assert len(page.shop.places) == 2
    pick(page, "Maker")
    assert not page.trouble.isVisible()


def test_ways_are_set_at_a_place(qtbot: QtBot, page: ShopPage, pool: FakePool) -> None:
    """Minutes to each other place; at the lowest there is no way."""
    pick(page, "Home")
    assert page.form is not None
    assert page.form.ways is not None
    box = page.form.ways.boxes["workshop"]
    assert box.text() == "25 min"
    box.setFocus()
    press(box, Qt.Key.Key_Up)
    assert page.shop.travels[0].minutes == 26
    enter(box, "0")
    press(box, Qt.Key.Key_Down)
    assert box.text() == "no way"
    assert not page.shop.travels
    settle(qtbot, page, pool)


def test_stock_is_counted(qtbot: QtBot, page: ShopPage, pool: FakePool) -> None:
    """What is left on a spool, how many sheets there are, and the border of an offcut."""
    pick(page, "pla:")
    left = editor(page, "mass_g", FigureEditor)
    assert isinstance(left, FigureEditor)
    enter(left.box, "320")
    assert "pla: PLA, 320 g" in [text for _, text in page._listed()]
    pick(page, "plywood")
    count = editor(page, "count", CountEditor)
    assert isinstance(count, CountEditor)
    enter(count.box, "7")
    border = editor(page, "outline", CornersEditor)
    assert isinstance(border, CornersEditor)
    enter(border.box, "an L")
    assert border.note.isVisible()
    enter(border.box, "[[0, 0], [300, 0], [0, 200]]")
    sheet = of(page, "sheet", "plywood")
    assert sheet.count == 7  # type: ignore[union-attr]  # a sheet
    assert sheet.outline == ((0, 0), (300, 0), (0, 200))  # type: ignore[union-attr]  # likewise
    material = editor(page, "material", ChoiceEditor)
    assert isinstance(material, ChoiceEditor)
    material.box.setFocus()
    press(material.box, Qt.Key.Key_Home)
    assert of(page, "sheet", "plywood").material == material.box.itemData(0)  # type: ignore[union-attr]  # likewise
    settle(qtbot, page, pool)


def test_what_has_to_be_bought_is_told(page: ShopPage) -> None:
    """What the plan asks for beyond what is in hand stands above the list."""
    assert page.wants.texts == ("plywood: 0 of 12 g in stock",)


def test_what_the_plan_takes_is_told(page: ShopPage) -> None:
    """Grams of all spools of a filament, sheets by the pile: what is left, or has to be bought."""
    pla, petg = records_of(page.shop, "spool")
    plywood, acrylic = records_of(page.shop, "sheet")
    sheet = {"material": "plywood", "thickness_mm": 3.0, "size_mm": (600.0, 400.0)}
    stock = Stock(
        filaments=(
            FilamentStock(material="PLA", need_g=320, have_g=1000),
            FilamentStock(material="PETG", need_g=1200, have_g=1000),
        ),
        sheets=(SheetStock(stock="plywood", used=3, have=2, **sheet),),  # type: ignore[arg-type]  # as above
    )
    assert stock_text(stock, pla).endswith("and leaves 680 g.")
    assert stock_text(stock, petg).endswith("buy 200 g more.")
    assert stock_text(stock, plywood) == "The plan takes 3, and there are 2: buy 1 more."
    assert stock_text(stock, acrylic) == "The plan takes nothing of it."
    assert stock_text(stock, page.shop.places[0]) == stock_text(None, pla) == ""
    assert page._desk.session is not None
    page._desk.session._stock = stock
    pick(page, "plywood")
    assert page.form is not None
    assert page.form.taken.isVisible()
    assert "buy 1 more" in page.form.taken.text()


def test_skills_are_a_list(qtbot: QtBot, page: ShopPage, pool: FakePool) -> None:
    """With commas between them."""
    pick(page, "Maker")
    skills = editor(page, "skills", ListEditor)
    assert isinstance(skills, ListEditor)
    enter(skills.box, "soldering,  welding")
    assert page.shop.people[0].skills == ("soldering", "welding")
    assert skills.box.text() == "soldering, welding"
    settle(qtbot, page, pool)


def test_busy_times_are_read_and_forgotten(
    qtbot: QtBot, page: ShopPage, pool: FakePool, asks: FakeAsks, tmp_path: Path
) -> None:
    """A calendar is named with what it comes to; one that cannot be read is refused below it."""
    pick(page, "Maker")
    busy = editor(page, "busy", BusyEditor)
    assert isinstance(busy, BusyEditor)
    asks.path = tmp_path / "none.ics"
    click(busy.read)
    assert "no such file" in busy.note.text.casefold()
    assert page.shop.people[0].busy is None
    asks.path = tmp_path / "mine.ics"
    asks.path.write_text(f"BEGIN:VCALENDAR\n{EVENT}\nEND:VCALENDAR\n")
    click(busy.read)
    assert not busy.note.isVisible()
    assert busy.about.text().endswith("mine.ics: busy 3 \u00d7 in the next 14 days, 6 h in all")
    assert "mine.ics" in user_shop().read_text("utf-8")
    click(busy.forget)
    assert page.shop.people[0].busy is None
    assert not busy.forget.isVisible()
    settle(qtbot, page, pool)


def test_edits_from_outside_are_shown(qtbot: QtBot, page: ShopPage, pool: FakePool) -> None:
    """A file beside the project counts as soon as it is there."""
    session = page._desk.session
    assert session is not None
    (session.folder / "shop.toml").write_text('[[place]]\nid = "cellar"\n')
    page._desk.look_outside()
    assert page._listed() == [(("place", "cellar"), "Cellar")]
    assert page.file.text() == f"Kept in {session.folder / 'shop.toml'}"
    settle(qtbot, page, pool)


@pytest.mark.parametrize("kind", GROUPS)
def test_every_field_says_what_it_is(page: ShopPage, kind: str) -> None:
    """Each control has a tooltip, a name for screen readers, and can be reached by Tab."""
    form = page._form_of(kind)
    assert set(form.editors) == set(KINDS[kind][1]) - {"id"}
    for made in form.editors.values():
        inner = made.editors.values() if isinstance(made, InnerEditor) else ()
        for stop in (stop for e in (made, *inner) for stop in e.stops):
            assert stop.toolTip()
            assert stop.accessibleName()
            assert stop.focusPolicy() & Qt.FocusPolicy.TabFocus


def test_every_field_has_its_label_and_meaning() -> None:
    """Whatever the file may hold has a name and a tooltip, usual figures with their units."""
    for kind, (_, known) in KINDS.items():
        for name in set(known) - {"id", "between", "minutes"}:
            assert LABELS[name]
            assert tip_of(kind, name)
    for table, record in (("motion", Motion), ("build", Build)):
        for field in fields(record):
            assert LABELS[field.name]
            assert "Usually" in tip_of(table, field.name)
    assert tip_of("printer", "heat_s").endswith("Usually 180 s.")


def test_the_wheel_changes_only_what_has_the_focus(page: ShopPage) -> None:
    """Passing over a field while scrolling leaves it alone."""
    pick(page, "Laser cutter")
    before = page.shop
    power = editor(page, "power_w", FigureEditor)
    assert isinstance(power, FigureEditor)
    page.list.setFocus()
    at = power.box.mapToGlobal(power.box.rect().center())
    for focused in (False, True):
        QApplication.sendEvent(power.box, wheel(power.box.rect().center(), at))
        assert (page.shop == before) != focused
        power.box.setFocus()


def wheel(at: QPoint, globally: QPoint) -> QWheelEvent:
    """A notch of the wheel, away from the hand."""
    buttons, keys = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier
    phase = Qt.ScrollPhase.NoScrollPhase
    return QWheelEvent(
        QPointF(at), QPointF(globally), QPoint(), QPoint(0, 120), buttons, keys, phase, False
    )


@pytest.mark.parametrize("kind", GROUPS)
@pytest.mark.parametrize("dark", [False, True])
def test_it_fits_the_smallest_window(
    dressed: QApplication, page: ShopPage, kind: str, *, dark: bool
) -> None:
    """At its smallest every form is as wide as its view, light and dark, and is painted so."""
    window = page.window()
    window.resize(*LEAST_PX)
    before = dressed.palette()
    dressed.setPalette(palette(dark=dark))
    page.choose((kind, records_of(page.shop, kind)[0].id))  # type: ignore[union-attr]  # no way
    QTest.qWait(1)
    form = page.form
    assert form is not None
    view = page._scrolls[kind].viewport()
    assert form.width() <= view.width()
    shown = page.grab().toImage()
    ground = shown.pixelColor(2, shown.height() - 2).lightness()
    assert (ground < 128) == dark
    dressed.setPalette(before)


def test_tab_leads_through_the_page(page: ShopPage) -> None:
    """From the list by its buttons into the form, and on to its last field."""
    pick(page, "Shared workshop")
    QApplication.processEvents()  # new fields are shown on the next turn of the loop
    page.list.setFocus()
    seen: list[QWidget] = []
    for _ in range(9):
        QTest.keyClick(QApplication.focusWidget() or page, Qt.Key.Key_Tab)
        now = QApplication.focusWidget()
        assert now is not None
        seen.append(now)
    kinds: tuple[type[QWidget], ...] = (QAbstractButton, QLineEdit, QComboBox)
    assert any(isinstance(widget, kinds) for widget in seen)
    assert page.form is not None
    assert page.form.editors["hours"].stops[0] in seen
    assert page.form.ways is not None
    assert page.form.ways.boxes["home"] in seen
