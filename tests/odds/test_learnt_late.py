"""Lateness of deliveries learnt from the log: made-up worlds, and bounds of single ones."""

import math

import numpy as np
import pytest

from fabsched.model.experience import LateSeen
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S
from fabsched.odds.learnt_late import PUNCTUAL, Deliveries, deliveries_of
from fabsched.odds.pert import pert_places
from fabsched.odds.truths import PUBLISHED, Factor

TOLD = Spread(0.0, 1.0 * HOUR_S, 4.0 * HOUR_S)
"""The middle of these three is 75 minutes: (0 + 6 * 60 + 240) / 8."""


def late(hours: float, number: int = 0, told: Spread = TOLD) -> LateSeen:
    """A delivery that came so many hours after it was promised."""
    return LateSeen(key=f"log/late/{number}", at_s=number, expected=told, late_s=hours * HOUR_S)


def several(hours: list[float]) -> Deliveries:
    """What so many deliveries come to."""
    return deliveries_of(late(each, number) for number, each in enumerate(hours))


def test_no_delivery_seen_is_what_is_published() -> None:
    """Nothing is moved, and the doubt is that of before."""
    known = deliveries_of(())
    assert (known.factor, known.late) == (PUBLISHED.late.median, PUBLISHED.late)


@pytest.mark.parametrize("true", [0.5, 1.0, 2.5])
def test_a_world_is_found(true: float) -> None:
    """After 60 deliveries the factor is within 15 % of the true one, and less in doubt than before."""
    rng = np.random.default_rng(7)
    hours = 4.0 * pert_places(TOLD, rng, 60) * true
    known = several(hours.tolist())
    assert known.factor == pytest.approx(true, rel=0.15)
    assert known.late.sigma < PUBLISHED.late.sigma


def test_one_delivery_by_hand() -> None:
    """A normal prior and one ratio: the mean lies at common / (1 + common) of it (conjugate normal).

    Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.5 (from memory); the ratio lies within
    what one delivery may say, so that it is not drawn in.
    """
    known = several([2.0])
    (ratio,) = known.ratios
    assert ratio.log == pytest.approx(math.log(2.0 / 1.25))
    common = known.prior.common
    assert known.factor == pytest.approx(math.exp(common / (1.0 + common) * ratio.log))


def test_punctual_deliveries_teach_less_lateness() -> None:
    """Coming in time, or a day early, counts alike: less lateness, never none, never below zero."""
    prompt, early = several([0.0] * 8), several([-24.0] * 8)
    assert prompt.factor == early.factor
    assert PUNCTUAL <= prompt.factor < 0.5


def test_one_gone_astray_hardly_moves_all_others() -> None:
    """Of nine as told and one fifteen times as late, the factor stays below one and a half."""
    assert several([1.25] * 9 + [18.0]).factor < 1.5
    assert several([1.25] * 9 + [100.0]).factor == several([1.25] * 9).factor


def test_order_does_not_matter() -> None:
    """The same deliveries in another order say the same to the bit."""
    seen = [late(hours, number) for number, hours in enumerate((0.5, 3.0, 1.0, 6.0))]
    assert deliveries_of(seen).factor == deliveries_of(seen[::-1]).factor


def test_what_was_sure_teaches_nothing() -> None:
    """Where no lateness was expected at all there is nothing to take it times."""
    assert deliveries_of([late(3.0, told=Spread(0.0, 0.0, 0.0))]).late == PUBLISHED.late


def test_wide_differences_stay_in_doubt() -> None:
    """Deliveries that differ more than their three points say leave more doubt than those that do not."""
    wild = several([0.1, 8.0, 0.2, 9.0, 0.1, 8.0])
    calm = several([1.0, 1.2, 1.4, 1.3, 1.1, 1.2])
    assert isinstance(wild.late, Factor)
    assert wild.late.sigma > calm.late.sigma
