"""Icons: our own drawings in the colours of the text."""

import xml.etree.ElementTree as ET

import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QColor, QIcon, QImage

from fabsched.desktop.icons import coloured, icon
from fabsched.desktop.theme import palette
from fabsched.files.resources import resource

pytestmark = pytest.mark.usefixtures("qapp")

NAMES = sorted(path.stem for path in resource("icons").glob("*.svg"))


def strokes(image: QImage) -> set[str]:
    """Colours of all pixels that are wholly covered."""
    points = ((x, y) for x in range(image.width()) for y in range(image.height()))
    colours = (image.pixelColor(x, y) for x, y in points)
    return {colour.name() for colour in colours if colour.alpha() == 255}


@pytest.mark.parametrize("name", NAMES)
def test_every_icon_is_drawn(name: str) -> None:
    """The file is sound XML, and something is seen of it at every size."""
    ET.parse(resource(f"icons/{name}.svg"))  # noqa: S314 - our own file
    for size in (16, 32):
        image = coloured(name, QColor("#FF0000")).pixmap(QSize(size, size)).toImage()
        alphas = [image.pixelColor(x, y).alpha() for x in range(size) for y in range(size)]
        assert sum(alphas) > 255 * size


def test_an_icon_takes_the_colour_of_the_text() -> None:
    """Dark on a light palette, light on a dark one."""
    for dark in (False, True):
        colours = palette(dark=dark)
        image = icon("add", colours).pixmap(QSize(32, 32)).toImage()
        assert strokes(image) == {colours.color(colours.ColorRole.WindowText).name()}


def test_what_cannot_be_used_is_fainter() -> None:
    """The disabled icon lets the ground through."""
    made = coloured("plan", QColor("#000000"))
    full, faint = (
        made.pixmap(QSize(32, 32), mode).toImage()
        for mode in (QIcon.Mode.Normal, QIcon.Mode.Disabled)
    )
    most = [
        max(image.pixelColor(x, y).alpha() for x in range(32) for y in range(32))
        for image in (full, faint)
    ]
    assert most[0] == 255
    assert most[1] < 140


@pytest.mark.parametrize("scale", [1.0, 1.25, 1.5, 1.75, 2.0, 3.0])
def test_an_icon_is_drawn_in_the_pixels_of_the_screen(scale: float) -> None:
    """At odd scale factors too it has as many pixels as are shown, none of them stretched."""
    made = coloured("plan", QColor("#000000"))
    pixmap = made.pixmap(QSize(16, 16), scale)
    assert pixmap.size() == QSize(16, 16) * scale
    assert pixmap.devicePixelRatio() == scale
    drawn = made.pixmap(QSize(16, 16) * scale, 1.0)
    assert bytes(pixmap.toImage().constBits()) == bytes(drawn.toImage().constBits())


def test_an_icon_in_a_marked_row_has_the_colour_of_its_text() -> None:
    """Not that of text on the ordinary ground."""
    for dark in (False, True):
        colours = palette(dark=dark)
        image = icon("add", colours).pixmap(QSize(32, 32), QIcon.Mode.Selected).toImage()
        assert strokes(image) == {colours.color(colours.ColorRole.HighlightedText).name()}
