"""Plans as pictures."""

import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QImage

from fabsched.desktop.picture import draw_plan
from fabsched.desktop.timeline.look import DARK, LIGHT
from fabsched.model.errors import Fault, InputError
from fabsched.model.log import Entry, Event, Meant, Sort
from fabsched.model.state import State, state_of
from tests.desktop import made

pytestmark = pytest.mark.usefixtures("qapp")

SVG = "{http://www.w3.org/2000/svg}"


def draw(path: Path, *, dark: bool = False, width: int = 1600, zoom: float = 1.0) -> Path:
    """Draw the made-up weekend."""
    draw_plan(
        made.weekend(),
        made.answer(),
        path,
        title="Balcony weather station",
        now_s=made.BEGIN,
        dark=dark,
        size=(width, None),
        zoom=zoom,
    )
    return path


def texts(path: Path) -> list[str]:
    """All texts of an SVG file."""
    return ["".join(node.itertext()).strip() for node in ET.parse(path).iter(f"{SVG}text")]  # noqa: S314 - our own file


def test_an_svg_holds_title_odds_names_and_legend_as_text(tmp_path: Path) -> None:
    """It parses as XML, and everything a reader looks for is in it as text."""
    path = draw(tmp_path / "plan.svg")
    found = texts(path)
    whole = " ".join(found)
    for text in (
        "Balcony weather station",
        "93 in 100 simulated weekends are done by Sunday 21:00",
        "1 d 3 h to spare",
        "Large printer",
        "Harbour workshop",
        "Louvre plates (6)",
        "Run for an hour and watch",
        "Saturday 14 March",
        "now Fri 18:00",
        "deadline Sun 21:00",
        "machine runs alone",
        "waits to be cleared",
        "All times in Europe/Vienna",
        "Large printer: Louvre plates (6)",
    ):
        assert text in whole
    root = ET.parse(path).getroot()  # noqa: S314 - our own file
    assert root.get("viewBox", "").split()[2] == "1600"


@pytest.mark.parametrize(("width", "zoom"), [(800, 1.0), (1600, 1.0), (2400, 1.0), (1600, 2.0)])
@pytest.mark.parametrize("dark", [False, True])
def test_a_png_has_the_size_asked_for_and_is_drawn_to_its_edges(
    tmp_path: Path, width: int, zoom: float, *, dark: bool
) -> None:
    """Width times zoom; the ground in every corner, and much else in between."""
    image = QImage(str(draw(tmp_path / "plan.png", dark=dark, width=width, zoom=zoom)))
    assert image.width() == width * zoom
    ground = QColor((DARK if dark else LIGHT).ground)
    right, bottom = image.width() - 1, image.height() - 1
    for x, y in ((0, 0), (right, 0), (0, bottom), (right, bottom)):
        assert image.pixelColor(x, y) == ground
    colours = {image.pixel(x, y) for x in range(0, right, 7) for y in range(0, bottom, 7)}
    assert len(colours) > 20


def test_what_lies_behind_is_drawn_too(tmp_path: Path) -> None:
    """What was told stands before the present moment, under its name, as in the window."""
    later = replace(made.weekend(), begin_s=made.BEGIN + 7200)
    tin = Meant(name="Lid of tin", sort=Sort.RUN, machine="large", person="mira", place="home")
    told = [(Event.STARTED, made.BEGIN + 600), (Event.FAILED, made.BEGIN + 6000)]
    behind_us = state_of(
        Entry(kind=kind, moment_s=at_s, noted_s=at_s, subject="tin", meant=tin, id=ident)
        for ident, (kind, at_s) in enumerate(told, 1)
    )
    without, behind = tmp_path / "without.svg", tmp_path / "behind.svg"
    for path, state in ((without, State()), (behind, behind_us)):
        draw_plan(later, made.answer(), path, title="x", now_s=later.begin_s, state=state)
    assert "Lid of tin" in " ".join(texts(behind))
    assert "Lid of tin" not in " ".join(texts(without))


def test_the_same_plan_gives_the_same_picture(tmp_path: Path) -> None:
    """Drawn twice, both files are the same, byte for byte."""
    for ending in ("svg", "png"):
        one, other = draw(tmp_path / f"a.{ending}"), draw(tmp_path / f"b.{ending}")
        assert one.read_bytes() == other.read_bytes()


def test_a_height_asked_for_is_kept_unless_too_small(tmp_path: Path) -> None:
    """More height than needed is given; less is not."""
    for asked, least in ((2000, 2000), (10, 400)):
        path = tmp_path / f"{asked}.png"
        weekend, answer = made.weekend(), made.answer()
        draw_plan(weekend, answer, path, title="x", now_s=0, size=(1000, asked))
        assert QImage(str(path)).height() >= least


def test_other_endings_are_refused_before_anything_is_drawn(tmp_path: Path) -> None:
    """The error names the file and the endings that are drawn."""
    with pytest.raises(InputError) as caught:
        draw(tmp_path / "plan.gif")
    assert caught.value.code is Fault.FILE_KIND_UNKNOWN
    assert caught.value.facts["known"] == ".png, .svg"
    assert not list(tmp_path.iterdir())


def test_a_picture_that_cannot_be_written_leaves_the_old_one(tmp_path: Path) -> None:
    """A missing folder is the user's fault, said so; a picture is replaced whole."""
    with pytest.raises(InputError) as caught:
        draw(tmp_path / "nowhere" / "plan.png")
    assert caught.value.code is Fault.FILE_UNWRITABLE
    path = tmp_path / "plan.svg"
    path.write_text("old", "utf-8")
    draw(path)
    assert [found.name for found in tmp_path.iterdir()] == ["plan.svg"]
    assert "<svg" in path.read_text("utf-8")


SCRIPT = """
import sys
from pathlib import Path
from tests.desktop import made
from fabsched.desktop.picture import draw_plan
for name in ("a.png", "b.svg"):
    path = Path(sys.argv[1]) / name
    draw_plan(made.weekend(), made.answer(), path, title="x", now_s=0)
heavy = {"ortools", "trimesh", "numba", "PySide6.QtWidgets"} & set(sys.modules)
assert not heavy, heavy
"""


def test_without_a_screen_or_an_application_it_draws_all_the_same(
    tmp_path: Path, checkout: Path
) -> None:
    """In a process of its own, with no display at all, pictures come out and nothing is said."""
    hidden = {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    environment["PYTHONPATH"] = str(checkout)
    done = subprocess.run(  # noqa: S603 - our own interpreter and script
        [sys.executable, "-W", "error", "-c", SCRIPT, str(tmp_path)],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert {path.name for path in tmp_path.iterdir()} == {"a.png", "b.svg"}
