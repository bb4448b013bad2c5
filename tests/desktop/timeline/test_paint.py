"""The drawing, looked at pixel by pixel at places worked out from the geometry."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QFont, QGuiApplication, QImage, QPainter

from fabsched.desktop.timeline.canvas import Canvas, scene_sizes
from fabsched.desktop.timeline.face import Face
from fabsched.desktop.timeline.geometry import Frame, Scale, stretch
from fabsched.desktop.timeline.look import DARK, LIGHT, Look, Scheme, mixed, sized
from fabsched.desktop.timeline.paint import paint
from fabsched.desktop.timeline.scene import Scene, scene
from fabsched.model.plan import Block
from tests.desktop import made

pytestmark = pytest.mark.usefixtures("qapp")

SHOWN = scene(made.weekend(), made.answer())
NOW = made.at(14, 20)
"""In an hour in which nothing is drawn but lanes."""

Drawn = tuple[QImage, Canvas]


@pytest.fixture(params=[LIGHT, DARK], ids=["light", "dark"])
def scheme(request: pytest.FixtureRequest) -> Scheme:
    """Both schemes."""
    found: Scheme = request.param
    return found


def draw(
    scheme: Scheme,
    width: int = 1600,
    ratio: float = 1.0,
    shown: Scene = SHOWN,
    now_s: int = NOW,
) -> Drawn:
    """A picture of all that is worth seeing, with the canvas it was drawn on."""
    look = Look(scheme, sized(QGuiApplication.font(), 14))
    sizes = scene_sizes(shown, look)
    frame = Frame(sizes=sizes, lanes=len(shown.lanes), width_px=width)
    first_s, last_s = shown.shown_s
    image = QImage(round(width * ratio), round(frame.height_px * ratio), QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    painter = QPainter(image)
    canvas = Canvas(
        painter=painter,
        scene=shown,
        frame=frame,
        scale=Scale(
            start_s=first_s,
            left_px=sizes.gutter,
            width_px=width - sizes.gutter,
            span_s=last_s - first_s,
        ),
        look=look,
        height_px=frame.height_px,
        now_s=now_s,
    )
    paint(canvas)
    painter.end()
    return image, canvas


def colour(drawn: Drawn, x: float, y: float) -> QColor:
    """The colour at a point given in the units of the canvas."""
    image = drawn[0]
    ratio = image.devicePixelRatio()
    return QColor(image.pixel(int(x * ratio), int(y * ratio)))


def far(one: QColor, other: QColor) -> int:
    """How far two colours are apart, at most 255."""
    parts = ((one.red(), other.red()), (one.green(), other.green()), (one.blue(), other.blue()))
    return max(abs(a - b) for a, b in parts)


def lane_y(canvas: Canvas, index: int, share: float = 0.5) -> float:
    """A height inside a lane."""
    rect = canvas.frame.lane(index)
    return rect.y + share * rect.h


def block_of(ident: str) -> Block:
    """A block of the scene."""
    found = SHOWN.block(ident)
    assert found is not None
    return found


@pytest.mark.parametrize(("width", "ratio"), [(900, 1.0), (1600, 1.0), (2400, 1.0), (1600, 2.0)])
def test_blocks_lie_where_their_times_are(scheme: Scheme, width: int, ratio: float) -> None:
    """Left and right edge of a long run are drawn at its start and end, to a pixel."""
    drawn = draw(scheme, width, ratio)
    canvas, block = drawn[1], block_of("louvres")
    plate = canvas.look.plate(block)
    y = canvas.frame.slot(0).y + 3
    left, right = canvas.scale.x(block.start_s), canvas.scale.x(block.end_s)
    assert far(colour(drawn, left + 3, y), plate) <= 4
    assert far(colour(drawn, right - 3, y), plate) <= 4
    assert far(colour(drawn, left - 3, y), plate) > 12
    assert far(colour(drawn, right + 3, y), plate) > 12


def test_closed_hours_are_shaded_and_open_ones_are_not(scheme: Scheme) -> None:
    """The laser's lane is dark in the night and clear on Saturday afternoon."""
    drawn = draw(scheme)
    canvas = drawn[1]
    y = canvas.frame.slot(2).y - 2
    closed = colour(drawn, canvas.scale.x(made.at(14, 3, 20)), y)
    opened = colour(drawn, canvas.scale.x(made.at(14, 15, 20)), y)
    assert far(closed, QColor(scheme.shut)) <= 2
    assert far(opened, QColor(scheme.lane)) <= 2
    assert far(closed, opened) > 10


def test_now_and_the_deadline_stand_at_their_moments(scheme: Scheme) -> None:
    """Both are lines of ink through all lanes, at the x of their moments."""
    drawn = draw(scheme)
    canvas = drawn[1]
    ink = QColor(scheme.ink)
    for index in range(len(SHOWN.lanes)):
        y = lane_y(canvas, index, 0.05)
        assert far(colour(drawn, canvas.scale.x(NOW), y), ink) < 60
        assert far(colour(drawn, canvas.scale.x(made.DEADLINE) + 1.5, y), ink) < 60


def test_a_run_alone_is_hatched_and_an_attended_one_is_filled(scheme: Scheme) -> None:
    """Along the foot of a run alone the colour changes; along that of a cut it does not."""
    drawn = draw(scheme)
    canvas = drawn[1]
    alone, attended = block_of("louvres"), block_of("plates")
    for block, index, changing in ((alone, 0, True), (attended, 2, False)):
        rect = stretch(canvas.frame.slot(index), canvas.scale, block.start_s, block.end_s, 4)
        y = rect.bottom - canvas.sizes.foot / 2
        across = [colour(drawn, rect.x + 3 + i, y) for i in range(int(rect.w) - 6)]
        spread = max(far(one, across[0]) for one in across)
        assert (spread > 40) is changing


def test_the_shortest_block_is_still_seen(scheme: Scheme) -> None:
    """Six minutes of clearing are a fraction of a pixel at two weeks, and still drawn."""
    wide = made.weekend()
    drawn = draw(scheme, 700, shown=scene(wide, made.answer()))
    canvas = drawn[1]
    tend = block_of("feet.clear")
    rect = stretch(canvas.frame.slot(3), canvas.scale, tend.start_s, tend.end_s, 4)
    foot = colour(drawn, rect.x + rect.w / 2, rect.bottom - 2)
    assert far(foot, canvas.look.pure(tend)) < 90


def test_time_after_the_deadline_is_dulled(scheme: Scheme) -> None:
    """Open hours after the deadline look different from open hours before it."""
    drawn = draw(scheme)
    canvas = drawn[1]
    y = lane_y(canvas, 0, 0.15)
    before = colour(drawn, canvas.scale.x(made.at(15, 19, 20)), y)
    after = colour(drawn, canvas.scale.x(made.at(15, 23, 20)), y)
    assert far(before, QColor(scheme.lane)) <= 2
    assert far(after, before) > 4


def test_late_finishes_are_marked_apart_from_those_in_time(scheme: Scheme) -> None:
    """The steps of the strip before the deadline have another colour than those after it."""
    drawn = draw(scheme)
    canvas = drawn[1]
    base = canvas.frame.finish.bottom - canvas.sizes.small - canvas.sizes.pad
    peak = colour(drawn, canvas.scale.x(made.at(14, 20, 40)), base - 4)
    late = [colour(drawn, canvas.scale.x(made.at(15, 22) + 60 * i), base - 1.5) for i in range(45)]
    assert peak.blue() > peak.red() + 40
    assert max(one.red() - one.blue() for one in late) > 40


def test_text_can_be_read_on_everything_it_stands_on(scheme: Scheme) -> None:
    """Ink on plates, lanes and ground has a contrast of 4.5 or more (WCAG 2.2, criterion 1.4.3)."""
    look = Look(scheme, QFont())
    plates = [look.plate(block) for block in made.blocks()]
    grounds = [QColor(scheme.ground), QColor(scheme.lane), QColor(scheme.shut), *plates]
    for ground in grounds:
        assert contrast(QColor(scheme.ink), ground) >= 4.5
    for ground in grounds[:2]:
        assert contrast(QColor(scheme.faint), ground) >= 4.5


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio by its definition in WCAG 2.2."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: QColor) -> float:
    """Relative luminance by its definition in WCAG 2.2."""
    linear: Callable[[float], float] = lambda c: (  # noqa: E731 - the formula as it is printed
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
    )
    red, green, blue = (linear(c) for c in (colour.redF(), colour.greenF(), colour.blueF()))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_mixing_goes_from_one_colour_to_the_other() -> None:
    """A share of none or all gives either colour, half lies in the middle."""
    black, white = QColor("#000000"), QColor("#FFFFFF")
    assert mixed(black, white, 0.0) == black
    assert mixed(black, white, 1.0) == white
    assert mixed(black, white, 0.5).red() == 128


def test_labels_break_between_words_and_fit() -> None:
    """Every line is no wider than its room; where not even four letters fit there is none."""
    face = Face(sized(QGuiApplication.font(), 12))
    text = "Bench test of the wiring"
    one = face.broken(text, 1000, 2)
    assert one == (text,)
    two = face.broken(text, 95, 3)
    assert 1 < len(two) <= 3
    assert " ".join(two) == text
    cut = face.broken(text, 70, 2)
    assert len(cut) == 2
    assert cut[1].endswith("\u2026")
    assert face.broken(text, 12, 2) == ()


@pytest.mark.parametrize("width", [700, 1000, 1600, 3000])
@pytest.mark.parametrize("now_s", [made.at(13, 20), made.at(14, 12), made.at(14, 18), NOW])
def test_no_name_or_number_is_crossed_by_the_wall_or_the_present_moment(
    monkeypatch: pytest.MonkeyPatch, width: int, now_s: int
) -> None:
    """Wherever both stand, even with the wall in the midst of the blocks."""
    found: list[tuple[float, float, str]] = []
    before = Canvas.text

    def note(self: Canvas, x: float, top: float, text: str, face: Face, colour: str) -> None:
        place = self.painter.combinedTransform().map(QPointF(x, top))
        upright = self.painter.worldTransform().isRotating()
        wide = face.line if upright else face.width(text)
        if self.sizes.scale < place.y() < self.frame.finish.y and place.x() > self.scale.left_px:
            found.append((place.x(), place.x() + wide, text))
        before(self, x, top, text, face, colour)

    monkeypatch.setattr(Canvas, "text", note)
    early = replace(SHOWN, deadline_s=made.at(14, 15))
    for shown in (SHOWN, early):
        canvas = draw(LIGHT, width, shown=shown, now_s=now_s)[1]
        marks = (canvas.scale.x(shown.deadline_s), canvas.scale.x(now_s))
        assert found
        for left, right, text in found:
            assert not any(left < mark < right for mark in marks), text
        found.clear()


def test_blocks_without_a_name_have_the_number_of_their_step(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Every block is named, in whole or in part, or has its number under it."""
    written: list[str] = []
    before = Canvas.text

    def note(self: Canvas, x: float, top: float, text: str, face: Face, colour: str) -> None:
        written.append(text)
        before(self, x, top, text, face, colour)

    monkeypatch.setattr(Canvas, "text", note)
    draw(LIGHT, 1600)
    for step in SHOWN.steps:
        first = step.block.what.split()[0]
        named = any(text.startswith(first[:4]) for text in written)
        assert named or str(step.number) in written, step.told
