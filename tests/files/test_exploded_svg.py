"""Bodies drawn apart: what hides what, where names stand, and that the file is sound."""

import zlib
from base64 import b64decode
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from numpy.typing import NDArray

from fabsched.files.exploded_labels import labels_of
from fabsched.files.exploded_look import AXES, Look, look_of
from fabsched.files.exploded_svg import Drawn, exploded_svg
from fabsched.files.png import SIGNATURE, png_bytes
from fabsched.model.shapes import Mesh
from tests.estimate.bodies import box

SVG = "{http://www.w3.org/2000/svg}"
TOWARDS = AXES[2]


def moved(mesh: Mesh, by: NDArray[np.float64]) -> Mesh:
    """A mesh somewhere else."""
    return Mesh(mesh.vertices + by, mesh.faces)


def lengths(look: Look) -> float:
    """Length of all edges that are drawn."""
    return float(np.hypot(*(look.lines[:, 1] - look.lines[:, 0]).T).sum())


def flat_mm(mesh: Mesh, start: int, end: int) -> float:
    """Length of an edge as it is seen."""
    return float(np.hypot(*(AXES[:2] @ (mesh.vertices[end] - mesh.vertices[start]))))


def test_a_box_shows_nine_edges() -> None:
    """Three at the near corner and six around; the three at the far corner are hidden."""
    mesh = box(30.0, 20.0, 10.0)
    by_hand = sum(3 * float(np.hypot(*(AXES[:2] @ side))) for side in np.diag([30.0, 20.0, 10.0]))
    assert lengths(look_of([mesh], 5.0)) == pytest.approx(by_hand, rel=0.01)


def test_what_is_hidden_is_not_drawn() -> None:
    """A small box right behind a large one adds no edge; before the middle of a face it shows all nine."""
    large, small = box(60.0, 60.0, 60.0), box(8.0, 8.0, 8.0)
    alone = lengths(look_of([large], 5.0))
    face = np.array([26.0, -4.0, 26.0])
    behind = look_of([large, moved(small, face - 120.0 * TOWARDS)], 5.0)
    before = look_of([large, moved(small, face + 90.0 * TOWARDS)], 5.0)
    assert lengths(behind) == pytest.approx(alone, rel=0.01)
    assert not (behind.body == 1).any()
    assert lengths(before) == pytest.approx(alone + lengths(look_of([small], 5.0)), rel=0.01)
    assert (before.body == 1).any()


def on_wall_mm(look: Look) -> float:
    """Length of what is drawn well inside the silhouette of the first body."""
    wide = np.pad(look.body == 0, 3)
    height, width = look.body.shape
    inside = np.logical_and.reduce(
        [wide[r : r + height, c : c + width] for r in range(7) for c in range(7)]
    )
    found = 0.0
    for start, end in look.lines:
        points = start + np.linspace(0.0, 1.0, 200)[:, None] * (end - start)
        rows = (look.low_mm[1] + look.size_mm[1] - points[:, 1]) / look.mm_px
        columns = (points[:, 0] - look.low_mm[0]) / look.mm_px
        share = inside[rows.astype(int), columns.astype(int)].mean()
        found += float(share * np.hypot(*(end - start)))
    return found


def test_an_edge_half_hidden_is_drawn_half() -> None:
    """A long bar behind a wall comes out on either side, and adds nothing to what is seen on the wall."""
    wall = box(40.0, 3.0, 40.0)
    bar = moved(box(120.0, 3.0, 3.0), np.array([-40.0, 0.0, 18.0]) - 60.0 * TOWARDS)
    both, alone = look_of([wall, bar], 5.0), look_of([wall], 5.0)
    assert on_wall_mm(both) == pytest.approx(on_wall_mm(alone), rel=0.05)
    bar_alone = lengths(look_of([bar], 5.0))
    assert lengths(alone) + 0.5 * bar_alone < lengths(both) < lengths(alone) + 0.8 * bar_alone
    columns = np.flatnonzero((both.body == 1).any(axis=0))
    walls = np.flatnonzero((both.body == 0).any(axis=0))
    assert columns.min() < walls.min()
    assert columns.max() > walls.max()


def test_names_stand_on_bodies_or_are_led_to_them() -> None:
    """A plate carries its name; a thin rod has it beside, with a line that ends on the rod."""
    plate, rod = box(80.0, 60.0, 3.0), moved(box(60.0, 0.8, 0.8), np.array([10.0, 10.0, 30.0]))
    look = look_of([plate, rod], 8.0)
    on, beside = labels_of(look, ["1", "a"], 3.0)
    assert on is not None
    assert beside is not None
    assert on.points_mm is None
    assert body_at(look, on.at_mm) == 0
    assert beside.points_mm is not None
    assert body_at(look, beside.at_mm) == -1
    rows = [body_at(look, beside.points_mm + step) for step in around(look.mm_px)]
    assert 1 in rows


def around(reach: float) -> list[NDArray[np.float64]]:
    """A few steps every way."""
    return [reach * np.array([x, y]) for x in range(-4, 5) for y in range(-4, 5)]


def body_at(look: Look, point: NDArray[np.float64]) -> int:
    """Which body is seen at a place in the picture."""
    row = int((look.low_mm[1] + look.size_mm[1] - point[1]) / look.mm_px)
    column = int((point[0] - look.low_mm[0]) / look.mm_px)
    return int(look.body[row, column])


def test_a_body_that_is_hidden_has_no_name() -> None:
    """Nothing of it can be pointed at."""
    large, small = box(60.0, 60.0, 60.0), box(8.0, 8.0, 8.0)
    hidden = moved(small, np.array([26.0, 26.0, 26.0]) - 90.0 * TOWARDS)
    assert labels_of(look_of([large, hidden], 5.0), ["1", "a"], 3.0)[1] is None


def test_the_file_is_sound_and_always_the_same() -> None:
    """XML with a name for each body, and an image of as many pixels as it says."""
    bodies = (
        Drawn("1", box(80.0, 60.0, 3.0), (0.5, 0.7, 0.9)),
        Drawn("a<b", moved(box(10.0, 10.0, 10.0), np.array([30.0, 20.0, 30.0])), (0.9, 0.7, 0.4)),
    )
    made = exploded_svg(bodies)
    assert made == exploded_svg(bodies)
    root = ET.fromstring(made)  # noqa: S314 - our own file
    assert [text.text for text in root.iter(f"{SVG}text")] == ["1", "a<b"]
    (image,) = root.iter(f"{SVG}image")
    data = b64decode(image.attrib["{http://www.w3.org/1999/xlink}href"].partition(",")[2])
    assert data.startswith(SIGNATURE)


def test_pixels_come_back_from_the_picture() -> None:
    """Unpacked by hand as ISO/IEC 15948 says: chunks with sums, rows with their filters."""
    rgb = np.arange(4 * 3 * 3, dtype=np.uint8).reshape(4, 3, 3)
    data = png_bytes(rgb)[len(SIGNATURE) :]
    chunks = {}
    while data:
        length = int.from_bytes(data[:4])
        name, body, total = data[4:8], data[8 : 8 + length], data[8 + length : 12 + length]
        assert zlib.crc32(name + body) == int.from_bytes(total)
        chunks[name], data = body, data[12 + length :]
    assert list(chunks) == [b"IHDR", b"IDAT", b"IEND"]
    assert (int.from_bytes(chunks[b"IHDR"][:4]), int.from_bytes(chunks[b"IHDR"][4:8])) == (3, 4)
    rows = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), np.uint8).reshape(4, 10)
    assert not rows[:, 0].any()
    assert np.array_equal(rows[:, 1:].reshape(4, 3, 3), rgb)
