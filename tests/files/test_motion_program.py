"""Motion programs: the worked examples of the standard, its errors, and any way of writing moves.

Sections are those of NISTIR 6556, "The NIST RS274NGC Interpreter - Version 3" (Kramer, Proctor &
Messina, 2000), whose text was read.
"""

import math
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.files.motion_program import parse_program, read_program
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Program
from fabsched.model.units import MM_PER_UNIT

DATA = Path(__file__).parent.parent / "data" / "programs"
INCH = MM_PER_UNIT["inch"]


def program(*lines: str, unit: str | None = "mm") -> Program:
    """The moves of a program that ends as it should."""
    return parse_program("\n".join([*lines, "M2"]).encode(), "x", unit)[0]


def findings(*lines: str, unit: str | None = "mm") -> dict[Remark, Finding]:
    """What is noticed in it."""
    _, found = parse_program("\n".join(lines).encode(), "x", unit)
    return {finding.code: finding for finding in found}


def ends(moves: Program) -> list[list[float]]:
    """Where the moves end, rounded to what a float64 surely holds."""
    places: list[list[float]] = np.round(moves.points_mm[1:], 9).tolist()
    return places


def arc_mm(moves: Program, arc: int = 0) -> tuple[float, float]:
    """Radius and length of an arc, seen from above."""
    start = moves.points_mm[moves.arcs.move[arc], :2]
    radius = math.dist(start, moves.arcs.centre_mm[arc])
    return radius, radius * abs(float(moves.arcs.sweep_rad[arc]))


def test_arc_by_its_centre() -> None:
    """The example of section 3.5.3.2: centre (10, 11), radius 5; its length was worked out again."""
    moves = program("F600 G0 X7 Y7 Z9", "G17 G2 x 10 y 16 i 3 j 4 z 9")
    assert moves.arcs.centre_mm.tolist() == [[10.0, 11.0]]
    assert math.degrees(float(moves.arcs.sweep_rad[0])) == pytest.approx(-143.1301024, abs=1e-7)
    assert arc_mm(moves) == pytest.approx((5.0, 12.4904577), abs=1e-7)


@pytest.mark.parametrize(
    ("radius", "sweep_deg", "length"),
    [(20, -53.5764264, 18.7017008), (-20, -306.4235736, 106.9620055)],
)
def test_arc_by_its_radius(radius: float, sweep_deg: float, length: float) -> None:
    """The example of section 3.5.3.1 from the origin: a negative radius takes the longer way.

    The figures were worked out again from chord and radius.
    """
    moves = program(f"F600 G17 G2 x 10 y 15 r {radius} z 5")
    assert math.degrees(float(moves.arcs.sweep_rad[0])) == pytest.approx(sweep_deg, abs=1e-6)
    assert arc_mm(moves) == pytest.approx((20.0, length), abs=1e-6)
    assert ends(moves) == [[10.0, 15.0, 5.0]]


@given(
    st.floats(-50, 50),
    st.floats(-50, 50),
    st.floats(1.01, 3.0),
    st.booleans(),
    st.booleans(),
)
def test_both_forms_of_an_arc_agree(x: float, y: float, times: float, ccw: bool, far: bool) -> None:
    """An arc by radius has its end where it says, and is the same written by its centre."""
    half = math.hypot(x, y) / 2
    if half < 0.1:
        return
    code, radius = ("G3" if ccw else "G2"), half * times * (-1 if far else 1)
    one = program(f"F600 {code} X{x:.12f} Y{y:.12f} R{radius:.12f}")
    i, j = one.arcs.centre_mm[0]
    two = program(f"F600 {code} X{x:.12f} Y{y:.12f} I{i:.12f} J{j:.12f}")
    assert two.arcs.sweep_rad == pytest.approx(one.arcs.sweep_rad, abs=1e-4)
    assert (float(one.arcs.sweep_rad[0]) > 0) is ccw
    assert math.dist((x, y), (i, j)) == pytest.approx(abs(radius), rel=1e-9)
    assert (abs(float(one.arcs.sweep_rad[0])) > math.pi) is far


def test_a_full_circle_ends_where_it_starts() -> None:
    """With I and J the end may be the start, which is a full turn (section 3.5.3.2)."""
    moves = program("F600 G0 X7 Y7", "G3 X7 Y7 I3 J4", "G2 X7 I3")
    assert moves.arcs.sweep_rad.tolist() == pytest.approx([2 * math.pi, -2 * math.pi])


def test_ends_may_be_off_by_little() -> None:
    """Radii at both ends may differ by 0.002 mm or 0.0002 inch (section 3.5.3.2)."""
    program("F600 G0 X7 Y7", "G2 X10 Y16.0019 I3 J4")
    program("G20 F600 G0 X7 Y7", "G2 X10 Y16.00019 I3 J4")
    with pytest.raises(InputError) as caught:
        program("G20 F600 G0 X7 Y7", "G2 X10 Y16.00021 I3 J4")
    assert caught.value.code is Fault.ARC_UNEQUAL


def test_blanks_and_case_do_not_matter() -> None:
    """The example of section 3.3: `g0x +0. 12 34y 7` is `g0 x+0.1234 y7`."""
    wanted = [[0.1234, 7.0, 0.0]]
    assert ends(program("g0x +0. 12 34y 7")) == ends(program("g0 x+0.1234 y7")) == wanted


def test_offsets() -> None:
    """The example of section 3.5.18: at X4, `G92 X7` gives offset -3, then `G92 X9` -5."""
    moves = program("G0 X4", "G92 X7", "G0 X8", "G0 X7", "G92 X9", "G0 X0")
    assert [x for x, _, _ in ends(moves)] == [4.0, 5.0, 4.0, -5.0]


def test_offsets_are_put_away_and_fetched_again() -> None:
    """G92.2 puts offsets away, G92.3 fetches them, G92.1 drops them (section 3.5.18)."""
    lines = ["G0 X4", "G92 X0", "G92.2", "G0 X1", "G92.3", "G0 X1", "G92.1", "G92.3", "G0 X1"]
    moves = program(*lines)
    assert [x for x, _, _ in ends(moves)] == [4.0, 1.0, 5.0, 1.0]


def test_positions_and_steps() -> None:
    """G91 counts from where the machine is; I and J always do (section 3.5.17)."""
    moves = program("F60 G90 G0 X5 Y5", "G91 G1 X2 E1", "X2 E1", "G90 G1 X0 E1", "G3 X2 I1 J0")
    assert [x for x, _, _ in ends(moves)] == [5.0, 7.0, 9.0, 0.0, 2.0]
    assert moves.filament_mm.tolist() == [0.0, 1.0, 1.0, -1.0, 0.0]
    assert moves.arcs.centre_mm.tolist() == [[1.0, 5.0]]


def test_inches() -> None:
    """G20 counts way, filament, feed and centres in inches (section 3.5.7)."""
    moves = program("G20 F60 G1 X1 E1", "G2 X2 I0.5 J0", "G21 G1 X0 F60")
    assert ends(moves) == [[INCH, 0.0, 0.0], [2 * INCH, 0.0, 0.0], [0.0, 0.0, 0.0]]
    assert moves.speed_mm_s.tolist() == [INCH, INCH, 1.0]
    assert moves.filament_mm[0] == INCH
    assert arc_mm(moves)[0] == pytest.approx(0.5 * INCH)


def test_inverse_time() -> None:
    """The example of section 3.5.19: with F2.0 a move takes half a minute, rapid ones regardless."""
    moves = program("G93 G1 X30 Y40 F2.0", "G0 X0", "G3 X0 Y40 I10 J0 F1")
    assert moves.speed_mm_s == pytest.approx([50 / 30, 0.0, 2 * math.pi * 10 / 60])


def test_inverse_time_along_a_helix() -> None:
    """The way counts along the helix, not seen from above (section 2.1.2.5)."""
    moves = program("G93 G3 X0 Y0 Z30 I10 J0 F60")
    assert moves.speed_mm_s == pytest.approx([math.hypot(2 * math.pi * 10, 30)])


def test_the_number_after_f_is_forgotten_with_its_meaning() -> None:
    """After inverse time, a feed has to be named again (section 3.5.19)."""
    with pytest.raises(InputError) as caught:
        program("G93 G1 X30 F2", "G94 G1 X0")
    assert caught.value.code is Fault.WORD_MISSING


def test_dwell() -> None:
    """G4 stands still for P seconds and leads nowhere (section 3.5.4)."""
    moves = program("G0 X5", "G4 P1.5")
    assert (ends(moves), moves.dwell_s.tolist()) == ([[5.0, 0.0, 0.0]] * 2, [0.0, 1.5])


def test_long_dwells_are_told() -> None:
    """Half a minute is waited silently; programs that mean thousandths stand out by their hours."""
    assert not findings("G21 G0 X5", "G4 P30", "M2")
    (finding,) = findings("G21 G0 X5", "G4 P500", "G4 P250", "M2").values()
    assert (finding.code, finding.facts) == (Remark.STANDS_STILL, {"seconds": 750})


def test_order_on_a_line() -> None:
    """Units and distance mode come before motion, wherever they stand on the line (Table 8)."""
    assert ends(program("G0 X1", "X1 G0 G91 G20")) == [[1.0, 0.0, 0.0], [1 + INCH, 0.0, 0.0]]


def test_motion_lasts() -> None:
    """A line without a code goes on with the code before."""
    moves = program("F60 G1 X1 E1", "Y1", "G0 X2", "Y2")
    assert moves.speed_mm_s.tolist() == [1.0, 1.0, 0.0, 0.0]


def test_exact_stops() -> None:
    """G61.1 stops after every move until G64 (section 3.5.14)."""
    moves = program("G0 X1", "G61.1", "X2", "G64 X3")
    assert moves.exact.tolist() == [False, True, False]


def test_comments() -> None:
    """Comments stand in parentheses on one line; after a semicolon all is one."""
    moves = program("(G0 X9) G0 (y) X1 ; X2 (", "; (", "/G0 X3 (x) Y4 (z)")
    assert ends(moves) == [[1.0, 0.0, 0.0], [3.0, 4.0, 0.0]]


def test_expressions() -> None:
    """The examples of section 3.3.2: 0.5, and FIX and FUP of -2.8 are -3 and -2."""
    moves = program("#3=2", "G0 X[2.0/3*1.5-5.5/11.0] Y FIX[-2.8] Z FUP[-2.8]", "G0 X#3 #3=7 Y#3")
    assert ends(moves) == [[0.5, -3.0, -2.0], [2.0, 2.0, -2.0]]


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_line_ends(ending: str) -> None:
    """Lines end the way of any system, and errors count them so."""
    data = ending.join(["G0 X1", "", "G0 X2", "G0 X"]).encode()
    with pytest.raises(InputError) as caught:
        parse_program(data, "x")
    assert (caught.value.code, caught.value.facts["line"]) == (Fault.LINE_MALFORMED, 4)


@pytest.mark.parametrize("rest", ["M2\nG0 X9", "M30\nnonsense", "G0 X1 M2\nG0 X9", "%\nG0 X9"])
def test_what_follows_the_end_is_not_read(rest: str) -> None:
    """M2, M30 and the second `%` end a program (section 3.6.1)."""
    moves, found = parse_program(f"%\nG0 X1\n{rest}".encode(), "x", "mm")
    assert (ends(moves), found) == ([[1.0, 0.0, 0.0]], ())


def test_a_program_without_end_is_told() -> None:
    """Nothing else tells one that was cut short."""
    assert set(findings("G0 X1")) == {Remark.PROGRAM_OPEN}


def test_codes_nobody_knows_are_left_out() -> None:
    """Codes with M, and those with G that move nothing, are counted; text after them is skipped."""
    found = findings("M104 S200", "M117 Layer 1 of 2 [#", "G29", "M104 S0", "M5", "G0 X1", "M2")
    assert set(found) == {Remark.CODES_LEFT_OUT}
    facts = found[Remark.CODES_LEFT_OUT].facts
    assert facts == {"count": 5, "codes": "M104, G29, M5, M117"}


def test_waiting_for_hands_is_told() -> None:
    """M0, M1, M60 and a change of tool (M6) last as long as somebody lets them."""
    found = findings("M0", "G0 X1", "M6", "M60", "M2")
    assert found[Remark.WAITS_FOR_HANDS].facts == {"count": 3}


def test_going_home_is_told() -> None:
    """G28 leads by way of its words to the machine's origin, offsets or not (section 3.5.8)."""
    lines = ["G0 X5 Y5", "G92 X0", "G28 Z9", "G0 X0", "M2"]
    assert findings(*lines)[Remark.HOME_ASSUMED].facts == {"count": 1}
    assert ends(program(*lines)) == [[5, 5, 0], [5, 5, 9], [0, 0, 0], [5, 0, 0]]


def test_a_missing_unit_is_told() -> None:
    """Without G20 and G21 the numbers are what the maker says, else mm with a remark."""
    assert findings("G0 X1", "M2", unit=None)[Remark.UNIT_ASSUMED].facts == {"unit": "millimeter"}
    assert not findings("G21 G0 X1", "M2", unit=None)
    assert ends(program("G0 X1", unit="in")) == [[INCH, 0.0, 0.0]]


def bar(amounts: list[str]) -> list[str]:
    """Lines back and forth with these amounts of filament."""
    return ["F600 G90 G0 X0", *(f"G1 X{10 * (i % 2 == 0)} E{e}" for i, e in enumerate(amounts))]


def test_filament_in_steps_is_recognised() -> None:
    """E that would go back again and again counts steps, with a remark; else it is a position."""
    steps = bar(["1", "1.5", "0.5", "1", "1", "2", "0.25", "1"])
    found = findings(*steps, "M2")
    assert found[Remark.FILAMENT_IN_STEPS].facts == {"share": "38%"}
    assert program(*steps).filament_mm.tolist() == [1, 1.5, 0.5, 1, 1, 2, 0.25, 1]
    places = bar(["1", "2.5", "3", "4", "3.5", "5", "7", "8"])
    assert not findings(*places, "M2")
    assert program(*places).filament_mm.tolist() == [1, 1.5, 0.5, 1, -0.5, 1.5, 2, 1]


BAD: dict[str, tuple[Fault, dict[str, object]]] = {
    "two_motions": (Fault.WORDS_CLASH, {"line": 3, "one": "G0", "two": "G1"}),
    "two_units": (Fault.WORDS_CLASH, {"line": 1, "one": "G20", "two": "G21"}),
    "word_twice": (Fault.WORDS_CLASH, {"line": 3, "one": "X", "two": "X"}),
    "offset_and_motion": (Fault.WORDS_CLASH, {"line": 3, "one": "G92", "two": "G1"}),
    "two_m_codes": (Fault.WORDS_CLASH, {"line": 3, "one": "M3", "two": "M5"}),
    "unclosed_comment": (Fault.LINE_MALFORMED, {"line": 3}),
    "nested_comment": (Fault.LINE_MALFORMED, {"line": 3}),
    "letter_alone": (Fault.LINE_MALFORMED, {"line": 3}),
    "unknown_letter": (Fault.LINE_MALFORMED, {"line": 3, "text": "G1 X1 U2"}),
    "two_points": (Fault.LINE_MALFORMED, {"line": 3}),
    "late_number": (Fault.LINE_MALFORMED, {"line": 3}),
    "asterisk": (Fault.LINE_MALFORMED, {"line": 3}),
    "no_feed": (Fault.WORD_MISSING, {"line": 2, "what": "F"}),
    "no_motion": (Fault.WORD_MISSING, {"line": 2, "what": "G0, G1, G2 or G3"}),
    "cancelled_motion": (Fault.WORD_MISSING, {"line": 4, "what": "G0, G1, G2 or G3"}),
    "inverse_without_f": (Fault.WORD_MISSING, {"line": 5, "what": "F"}),
    "dwell_without_p": (Fault.WORD_MISSING, {"line": 3, "what": "P"}),
    "endless_dwell": (Fault.NUMBER_NOT_FINITE, {"what": "P"}),
    "endless_filament": (Fault.NUMBER_NOT_FINITE, {"what": "E"}),
    "negative_dwell": (Fault.WORD_NEGATIVE, {"line": 3, "word": "P"}),
    "negative_feed": (Fault.WORD_NEGATIVE, {"line": 3, "word": "F"}),
    "arc_without_end": (Fault.WORD_MISSING, {"line": 3, "what": "X or Y"}),
    "arc_without_centre": (Fault.WORD_MISSING, {"line": 3, "what": "I or J"}),
    "arc_mixed": (Fault.WORDS_CLASH, {"line": 3, "one": "R", "two": "I"}),
    "arc_uneven": (Fault.ARC_UNEQUAL, {"line": 3, "start": 5.0, "end": 5.003}),
    "arc_no_radius": (Fault.ARC_UNEQUAL, {"line": 3, "start": 0.0}),
    "arc_too_short": (Fault.ARC_UNREACHED, {"line": 3, "radius": 4.7, "chord": 9.48683}),
    "arc_nowhere": (Fault.ARC_UNREACHED, {"line": 3, "radius": 5.0, "chord": 0.0}),
    "arc_other_plane": (Fault.MOTION_UNKNOWN, {"line": 3, "word": "G18"}),
    "arc_with_k": (Fault.MOTION_UNKNOWN, {"line": 3, "word": "K"}),
    "canned_cycle": (Fault.MOTION_UNKNOWN, {"line": 3, "word": "G81"}),
    "other_origin": (Fault.MOTION_UNKNOWN, {"line": 3, "word": "G55"}),
    "unknown_motion": (Fault.MOTION_UNKNOWN, {"line": 3, "word": "G5"}),
    "turning_axis": (Fault.MOTION_UNKNOWN, {"line": 3, "word": "A"}),
    "offset_of_nothing": (Fault.WORD_MISSING, {"line": 3, "what": "X, Y, Z or E"}),
    "parameter_unset": (Fault.WORD_MISSING, {"line": 3, "what": "#5"}),
    "bracket_open": (Fault.LINE_MALFORMED, {"line": 3, "text": "G1 X[1+2"}),
    "root_of_negative": (Fault.LINE_MALFORMED, {"line": 3}),
    "divided_by_zero": (Fault.LINE_MALFORMED, {"line": 3}),
    "parameter_zero": (Fault.LINE_MALFORMED, {"line": 1}),
    "no_moves": (Fault.NO_MOVES, {}),
    "beyond_bounds": (Fault.SIZE_ABSURD, {"size": 2e5}),
    "zero_byte": (Fault.FILE_NOT_OF_KIND, {}),
}
"""Bad files by name: what is wrong, and what the message says of it."""


@pytest.mark.parametrize("name", BAD)
def test_bad_programs_are_refused(name: str) -> None:
    """Every defect ends in one error that names the line."""
    path = DATA / f"{name}.ngc"
    with pytest.raises(InputError) as caught:
        read_program(path)
    code, facts = BAD[name]
    assert (caught.value.code, caught.value.where) == (code, str(path))
    assert facts.items() <= caught.value.facts.items()


def test_every_bad_program_has_its_row() -> None:
    """No file lies there without being looked at."""
    assert {path.stem for path in DATA.iterdir()} == {*BAD, "sound"}


@dataclass(frozen=True)
class Step:
    """One move to be written: where to, with how much filament, at which feed (0 is rapid)."""

    place: tuple[int, int, int]
    filament: int
    feed: int


thousandths = st.integers(-99_999, 99_999)
steps = st.lists(
    st.builds(
        Step,
        place=st.tuples(thousandths, thousandths, thousandths),
        filament=st.integers(-5_000, 5_000),
        feed=st.integers(0, 9_000),
    ),
    min_size=1,
    max_size=20,
)


def number(value: int, *, wide: bool) -> str:
    """Thousandths as digits, perhaps with blanks in between."""
    text = f"{value / 1000:.3f}"
    return " " + " ".join(text) if wide else text


def written(moves: list[Step], *, increments: bool, small: bool, wide: bool) -> bytes:
    """Moves as a program."""
    lines = ["G21" + ("G91" if increments else "G90")]
    before, filament = (0, 0, 0), 0
    for count, step in enumerate(moves):
        filament = step.filament if increments else filament + step.filament
        goal = [b - a if increments else b for a, b in zip(before, step.place, strict=True)]
        words = [f"{axis}{number(v, wide=wide)}" for axis, v in zip("XYZ", goal, strict=True)]
        code = f"G1F{step.feed}" if step.feed else "G0"
        lines.append(f"N{count} {code}{' '.join(words)}(go on)E{number(filament, wide=wide)};x")
        before = step.place
    text = "\n".join([*lines, "M2"])
    return (text.lower() if small else text).encode()


@given(steps, st.booleans(), st.booleans(), st.booleans())
def test_every_way_of_writing_is_read_alike(
    moves: list[Step], increments: bool, small: bool, wide: bool
) -> None:
    """Moves come back whichever way they were written; those that do nothing are no moves."""
    text = written(moves, increments=increments, small=small, wide=wide)
    places = [(0, 0, 0), *(step.place for step in moves)]
    done = [i for i, m in enumerate(moves) if m.filament or places[i + 1] != places[i]]
    if not done:
        return
    read, found = parse_program(text, "x")
    assert read.points_mm[1:] * 1000 == pytest.approx(
        np.array([moves[i].place for i in done]), abs=1e-6
    )
    assert read.speed_mm_s * 60 == pytest.approx([moves[i].feed for i in done])
    if not found:
        assert read.filament_mm * 1000 == pytest.approx([moves[i].filament for i in done], abs=1e-6)


lines = st.text("GMXYZEFIJRPNgx0123456789.-+ \t();%/#=[]*\n", max_size=60)


@given(lines)
def test_any_text_is_a_program_or_an_error(text: str) -> None:
    """Nothing makes the reader crash or hang."""
    with suppress(InputError):
        moves, _ = parse_program(f"G21 F60 G1 X1 E1\n{text}".encode(), "x")
        assert np.isfinite(moves.points_mm).all()
        assert np.isfinite(moves.speed_mm_s).all()


@given(st.decimals(-(10**6), 10**6, places=6, allow_nan=False))
def test_numbers_are_the_nearest(value: Decimal) -> None:
    """Up to fifteen digits, a number is read as exactly the float64 nearest to it."""
    assert program(f"G0 X1 E{value:f}").filament_mm[0] == float(value)
