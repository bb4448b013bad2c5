"""Expressions and parameters of motion programs (NISTIR 6556, section 3.3.2)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.files.motion_values import Parameters, without_expressions
from fabsched.model.errors import Fault, InputError


def value(expression: str) -> float:
    """What an expression comes to."""
    plain = Parameters("x").plain(f"X{expression}".encode(), 1)
    return float(plain.removeprefix(b"X"))


@pytest.mark.parametrize(
    ("expression", "wanted"),
    [
        ("[2.0/3*1.5-5.5/11.0]", 0.5),  # the example of section 3.3.2
        ("FIX[-2.8]", -3),  # the examples of section 3.3.2
        ("FUP[-2.8]", -2),
        ("ROUND[2.5]", 3),
        ("[2 ** 3 ** 2]", 64),  # from the left, as section 3.3.2 has it
        ("[1 + 2 * 3 ** 2]", 19),
        ("[7 MOD 4 - 1]", 2),
        ("[1 AND 0 OR 1]", 1),
        ("[1 XOR 1]", 0),
        ("ATAN[1]/[-1]", 135),
        ("[SIN[30] + COS[60] + TAN[45]]", 2),
        ("[ACOS[0] - ASIN[1]]", 0),
        ("[SQRT[16] * ABS[-2]]", 8),
        ("LN[EXP[3]]", 3),
        ("[-[2]]", None),
    ],
)
def test_expressions(expression: str, wanted: float | None) -> None:
    """Operations and functions; a sign stands before plain numbers only."""
    if wanted is None:
        with pytest.raises(InputError) as caught:
            value(expression)
        assert caught.value.code is Fault.LINE_MALFORMED
    else:
        assert value(expression) == pytest.approx(wanted, abs=1e-12)


def test_parameters_take_effect_after_their_line() -> None:
    """The report's example (from memory): after `#3=15`, `#3=6 G1 x#3` moves to x=15."""
    lines = [b"#3=15", b"#3=6 G1 x#3", b"X#3 #4=3", b"X##4"]
    plain = without_expressions(b"\n".join(lines), "x").split(b"\n")
    assert plain == [b"", b"G1X15", b"X6", b"X6"]


@pytest.mark.parametrize("line", [b"X[" * 400, b"X" + b"#" * 400, b"X[1" + b"+[1" * 400])
def test_depth_is_bounded(line: bytes) -> None:
    """Numbers within numbers without end are an error, not a crash."""
    with pytest.raises(InputError):
        without_expressions(line, "x")


@pytest.mark.parametrize("word", ["[9**999]", "EXP[9999]", "[0-1]**", "LN[0]", "ASIN[2]", "#6000"])
def test_what_has_no_value_is_refused(word: str) -> None:
    """Numbers that are none, and parameters beyond the last."""
    with pytest.raises(InputError) as caught:
        value(word)
    assert caught.value.code is Fault.LINE_MALFORMED


def test_brackets_in_comments_are_comments() -> None:
    """Nothing in a comment is worked out, nor after a code that the standard leaves open."""
    text = b"G0 X1 ([)\nX2 ; #1\nM117 [#"
    assert without_expressions(text, "x").split(b"\n") == [b"G0X1", b"X2", b"M117[#"]


numbers = st.floats(-1e6, 1e6).map(lambda x: round(x, 6))


@given(numbers, numbers, st.sampled_from("+-*"))
def test_two_numbers(a: float, b: float, sign: str) -> None:
    """What Python gets, digit for digit."""
    wanted = {"+": a + b, "-": a - b, "*": a * b}[sign]
    got = value(f"[{a:f}{sign}{b:f}]")
    assert got == wanted
    assert math.isfinite(got)
