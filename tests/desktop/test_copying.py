"""Tables on the clipboard, by the key for copying."""

import xml.etree.ElementTree as ET

from PySide6.QtCore import QMimeData, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from fabsched.desktop.compare.overview import Overview
from fabsched.desktop.copying import as_html, as_text
from fabsched.desktop.odds.cost_list import CostList
from fabsched.desktop.window import MainWindow
from fabsched.odds.told import Mishap, Setback
from tests.desktop.compare.test_compare_page import HINDERED, WHOLE
from tests.desktop.hands import press

CTRL = Qt.KeyboardModifier.ControlModifier


def copied(widget: QWidget) -> QMimeData:
    """What is on the clipboard after the key was pressed."""
    QGuiApplication.clipboard().clear()
    widget.setFocus()
    press(widget, Qt.Key.Key_C, CTRL)
    return QGuiApplication.clipboard().mimeData()


def cells(html: str) -> list[list[str]]:
    """The cells of a table, read as XML, which it is."""
    return [[cell.text or "" for cell in row] for row in ET.fromstring(html)]  # noqa: S314 - our own


def test_what_goes_out_as_text_comes_out_of_the_html_too() -> None:
    """Both forms hold the same cells, whatever is written in them."""
    rows = [("when", "what"), ("Sat 10:00", "a < b & c"), ("", 'say "no"')]
    assert [line.split("\t") for line in as_text(rows).splitlines()] == [list(row) for row in rows]
    assert cells(as_html(rows, 1)) == [list(row) for row in rows]
    assert as_html(rows, 1).count("<th>") == 2
    assert as_text([("a\tb", "c\nd")]) == "a b\tc d\n"


def test_steps_are_copied_with_their_headings(planned: MainWindow) -> None:
    """Every line of the list, the days between, in the columns of the list."""
    planned.plan.show_steps()
    mime = copied(planned.plan.steps)
    lines = [line.split("\t") for line in mime.text().splitlines()]
    assert lines[0][:3] == ["no.", "when", "what"]
    assert {len(line) for line in lines} == {len(lines[0])}
    scene = planned.plan.timeline.scene
    assert scene is not None
    assert len(lines) > len(scene.steps)
    assert [line[0] for line in lines if line[0].isdecimal()] == [
        str(number + 1) for number in range(len(scene.steps))
    ]
    assert cells(mime.html()) == lines


def test_what_the_shop_has_is_copied(planned: MainWindow) -> None:
    """Its list without headings is a table of one column."""
    planned.actions_.shop.trigger()
    lines = copied(planned.shop.list).text().splitlines()
    session = planned.desk.session
    assert session is not None
    assert {printer.name for printer in session.shop.printers} <= set(lines)


def test_setbacks_are_copied_from_wherever_the_focus_is_in_them(window: MainWindow) -> None:
    """What costs chance, and how much, each in a line."""
    costs = CostList(print, window)
    setback = Setback(kind=Mishap.FAILS, id="a", chance=0.1, cost=0.04)
    costs.show_setbacks([setback], {"a": "lid"})
    costs.show()
    (line,) = copied(costs.buttons[0]).text().splitlines()
    assert line.split("\t")[1] == "4 points"
    assert line.startswith("Lid fails")


def test_the_table_of_all_ways_is_copied(window: MainWindow) -> None:
    """Every way of making a part in a line, below the headings."""
    overview = Overview(window)
    for way in (WHOLE, HINDERED):
        overview.add(way, "EUR")
    overview.show()
    lines = copied(overview).text().splitlines()
    assert len(lines) == 1 + overview.rowCount() == 3
    assert {line.count("\t") for line in lines} == {overview.columnCount() - 1}
