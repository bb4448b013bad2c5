"""What knowing something is worth, against worked examples of textbooks."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.advise.information import expected, least_chance_to_look, perfect, sampled

PAYOFFS = ((200.0, 100.0, -120.0), (90.0, 50.0, -20.0), (0.0, 0.0, 0.0))
PRIORS = (0.3, 0.5, 0.2)
POSITIVE = (0.967, 0.533, 0.067)


def test_the_worked_example_of_a_textbook() -> None:
    """Large plant, small plant or none; favourable, stable or poor market; a survey of it.

    Thompson Lumber in Render and Stair, Quantitative Analysis for Management, in thousands: expected
    value 86, of perfect information 24 (as printed there). That of the free survey, 5.896, is
    computed without the book's rounding of posteriors; P(positive | stable) = 0.533 and
    P(positive | poor) = 0.067 are from memory.
    """
    assert expected(PRIORS, PAYOFFS) == pytest.approx(86.0)
    assert perfect(PRIORS, PAYOFFS) == pytest.approx(24.0)
    tells = (POSITIVE, tuple(1 - chance for chance in POSITIVE))
    worth = sampled(PRIORS, PAYOFFS, tells)
    assert worth == pytest.approx(5.896, abs=1e-2)
    assert worth / perfect(PRIORS, PAYOFFS) == pytest.approx(0.246, abs=1e-3)


def test_a_look_pays_from_its_cost_over_what_it_saves() -> None:
    """Five minutes against two hours: from 4.17 % on (Deming's rule; the figure is computed)."""
    least = least_chance_to_look(5, 120)
    assert least == pytest.approx(0.0417, abs=5e-5)
    for chance, pays in ((least - 0.01, False), (least + 0.01, True)):
        look_or_not = ((-5.0, -5.0), (-120.0, 0.0))
        best = expected((chance, 1 - chance), look_or_not)
        assert (best == pytest.approx(-5.0)) is pays


@st.composite
def tables(draw: st.DrawFn) -> tuple[list[float], list[list[float]], list[list[float]]]:
    """Priors, payoffs and the outcomes of a look."""
    count = draw(st.integers(1, 4))
    weights = draw(st.lists(st.floats(0.01, 1), min_size=count, max_size=count))
    row = st.lists(st.floats(-1e3, 1e3), min_size=count, max_size=count)
    chances = draw(st.lists(st.floats(0, 1), min_size=count, max_size=count))
    payoffs = draw(st.lists(row, min_size=1, max_size=4))
    return [w / sum(weights) for w in weights], payoffs, [chances, [1 - c for c in chances]]


@given(tables())
def test_a_look_is_worth_something_and_never_more_than_the_truth(
    case: tuple[list[float], list[list[float]], list[list[float]]],
) -> None:
    """0 <= value of a sample <= value of perfect information."""
    priors, payoffs, tells = case
    assert -1e-6 <= sampled(priors, payoffs, tells) <= perfect(priors, payoffs) + 1e-6
