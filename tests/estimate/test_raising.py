"""How much more often a print fails, for what can be seen of the part."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.estimate.raising import MOST, Raising, raised, raising, times_between, times_failing
from fabsched.model.estimates import Estimate, Route, Warp, WarpLevel
from fabsched.model.findings import Finding, Remark
from fabsched.model.spread import Spread


def print_of(
    level: WarpLevel = WarpLevel.LOW,
    contact_mm2: float = 900.0,
    height_mm: float = 30.0,
    *remarks: Remark,
) -> Estimate:
    """A print of that much warp, contact and height."""
    warp = Warp(level=level, span_mm=40, contact_mm2=contact_mm2, thickness_mm=5, corners=4)
    return Estimate(
        route=Route.PRINT,
        machine="mex",
        stock="PLA",
        seconds=Spread(3000, 3600, 4500),
        breakdown_s={},
        cost=None,
        footprint_mm=(30, 30),
        height_mm=height_mm,
        contact_mm2=contact_mm2,
        warp=warp,
        findings=tuple(Finding(code=each, where="lid") for each in remarks),
    )


prints = st.builds(
    print_of,
    st.sampled_from(WarpLevel),
    st.floats(0, 1e5),
    st.floats(0.1, 500),
)


@given(prints)
def test_no_part_fails_less_often_than_its_machine(estimate: Estimate) -> None:
    """The factor lies between one and its bound, and is one where no cause is told."""
    assert 1.0 <= times_failing(estimate) <= MOST
    assert (times_failing(estimate) == 1.0) == (not raising(estimate))


@given(st.floats(1.0, 1e4), st.floats(1, 300), st.floats(1.0, 2.0))
def test_standing_higher_on_less_never_fails_less_often(
    contact_mm2: float, height_mm: float, more: float
) -> None:
    """Toppling grows with height and falls with contact."""
    usual = times_failing(print_of(WarpLevel.LOW, contact_mm2, height_mm))
    assert times_failing(print_of(WarpLevel.LOW, contact_mm2, height_mm * more)) >= usual
    assert times_failing(print_of(WarpLevel.LOW, contact_mm2 / more, height_mm)) >= usual


def test_each_cause_raises_by_itself_and_with_the_others() -> None:
    """Warp, little contact and thin walls are told one by one; together they multiply."""
    assert raising(print_of()) == {}
    levels = [times_failing(print_of(level)) for level in WarpLevel]
    assert levels == sorted(set(levels))
    assert set(raising(print_of(WarpLevel.LOW, 100.0, 60.0))) == {Raising.CONTACT}
    thin = print_of(WarpLevel.MEDIUM, 900.0, 30.0, Remark.THIN_WALLS)
    assert set(raising(thin)) == {Raising.WARP, Raising.THIN}
    first, second = raising(thin).values()
    assert times_failing(thin) == pytest.approx(first * second)


def test_what_is_not_printed_or_not_known_is_as_told() -> None:
    """Without an estimate, or without a look at the shape, the machine's own rates hold."""
    assert times_failing(None) == 1.0


@given(st.floats(0, 1), st.floats(1, 4))
def test_a_raised_chance_is_that_of_so_many_tries(chance: float, times: float) -> None:
    """A chance stays one, rises, and is 1 - (1 - p)^n for whole n (independent tries)."""
    assert chance - 1e-12 <= raised(chance, times) <= 1.0
    assert raised(chance, 2.0) == pytest.approx(chance + (1 - chance) * chance)


@given(st.floats(0.001, 0.9), st.floats(1, 4))
def test_what_was_raised_tells_by_how_much(chance: float, times: float) -> None:
    """Both ways round, the factor is the same."""
    assert times_between(chance, raised(chance, times)) == pytest.approx(times)
