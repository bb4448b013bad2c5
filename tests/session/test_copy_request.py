"""The copy of a coupon that fits: which it is, and what the dimension is afterwards."""

from dataclasses import replace

import pytest

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Fit, FitKind
from fabsched.session.copy_request import number_of, play_of, redrawn
from fabsched.session.fit_outcomes import PLAY_MM, outcome_text

HOLE = Fit(
    id="pin",
    name="Pin",
    at_mm=(5, 0, 0),
    size_mm=(10, 10, 5),
    clearance_mm=0.2,
    ends_mm=((0.0, 0.0, 0.0), (10.0, 0.0, 0.0)),
    measured_mm=9.8,
    fitting_mm=0.2,
)


@pytest.mark.parametrize("number", range(1, 6))
def test_copies_are_counted_from_the_left(number: int) -> None:
    """The number of a copy and its play name each other."""
    assert play_of(HOLE, number, "--fits") == PLAY_MM[number - 1]
    assert number_of(PLAY_MM[number - 1]) == number


@pytest.mark.parametrize(
    ("fit", "number"),
    [
        (HOLE, 0),
        (HOLE, 6),
        (replace(HOLE, clearance_mm=None), 2),  # one copy, as drawn
        (replace(HOLE, kind=FitKind.OTHER), 2),
    ],
)
def test_there_is_no_other_copy(fit: Fit, number: int) -> None:
    """A number beyond the ladder is refused by the name of what it was given with."""
    with pytest.raises(InputError) as error:
        play_of(fit, number, "--fits")
    assert (error.value.code, error.value.where) == (Fault.FIELD_OUT_OF_RANGE, "--fits")


@pytest.mark.parametrize(("kind", "drawn_mm"), [(FitKind.HOLE, 10.2), (FitKind.PEG, 9.8)])
def test_what_it_should_measure_stays_and_what_is_drawn_moves(
    kind: FitKind, drawn_mm: float
) -> None:
    """More play is a wider hole and a narrower peg; what was measured of the old one is gone."""
    after = redrawn(replace(HOLE, kind=kind), 0.2)
    assert after.drawn_mm == pytest.approx(drawn_mm)
    assert after.wanted_mm == pytest.approx(10.0)
    assert after.at_mm == HOLE.at_mm
    assert outcome_text(after) == "The copy as drawn fits: leave it as it is."
