"""Undo and redo from within fields."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from fabsched.desktop.shop.hours_editor import HoursEditor
from fabsched.desktop.window import MainWindow
from tests.desktop.hands import click, press, write
from tests.desktop.test_window import session_of


def keys(widget: QWidget, text: str) -> None:
    """Press keys in a widget, and let what follows arrive."""
    QTest.keySequence(widget, QKeySequence(text))
    QApplication.processEvents()


def test_a_stepped_figure_is_taken_back_where_it_stands(planned: MainWindow) -> None:
    """The field of the copies has the focus all the time; redo works there as well."""
    part = session_of(planned)
    copies = planned.parts.rows.rows["louvre"].copies
    copies.setFocus()
    press(copies, Qt.Key.Key_Up)
    assert part.project.parts[0].copies == 7
    keys(copies, "Ctrl+Z")
    assert part.project.parts[0].copies == 6
    assert planned.parts.rows.rows["louvre"].copies.value() == 6
    keys(planned.parts.rows.rows["louvre"].copies, "Ctrl+Shift+Z")
    assert part.project.parts[0].copies == 7


def test_a_name_is_taken_back_as_typing_first_and_then_as_a_change(planned: MainWindow) -> None:
    """Until it is entered, undo is about letters; afterwards field and project go back together."""
    session = session_of(planned)
    planned.show_part("louvre")
    name = planned.part.fields.name
    for entered in (False, True):
        name.setFocus()
        name.selectAll()
        write(name, "Lamella")
        if entered:
            press(name, Qt.Key.Key_Return)
            assert session.project.parts[0].name == "Lamella"
        keys(name, "Ctrl+Z")
        assert name.text() == "Louvre plate"
        assert session.project.parts[0].name == "Louvre plate"
    assert session.redo_label is not None


def test_hours_written_are_taken_back_in_their_field(planned: MainWindow) -> None:
    """As in all fields of the shop that hold a text."""
    planned.actions_.shop.trigger()
    assert planned.shop.form is not None
    editor = planned.shop.form.editors["hours"]
    assert isinstance(editor, HoursEditor)
    line = editor.line
    before = line.text()
    line.setFocus()
    line.selectAll()
    write(line, "Mo-Fr 09:00-17:00")
    press(line, Qt.Key.Key_Return)
    session = session_of(planned)
    assert "Mo-Fr 09:00-17:00" in {place.hours for place in session.shop.places}
    keys(line, "Ctrl+Z")
    assert line.text() == before
    assert "Mo-Fr 09:00-17:00" not in {place.hours for place in session.shop.places}


def test_a_form_keeps_undo_for_its_letters(planned: MainWindow) -> None:
    """Typing in a form that is not finished is no change of the project."""
    session = session_of(planned)
    planned.parts.rows.rows["louvre"].copies.stepUp()
    click(planned.work.add)
    name = planned.work.form.name
    name.setFocus()
    write(name, "Sand")
    keys(name, "Ctrl+Z")
    assert name.text() == ""
    assert session.project.parts[0].copies == 7
