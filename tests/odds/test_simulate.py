"""The compiled simulator against the dispatch rule it has to repeat."""

from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.plan import Plan
from fabsched.model.replay import replay
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw, scenario_of
from fabsched.odds.simulate import finishes_of
from tests.model.weekends import planned


@settings(max_examples=150)
@given(planned(), st.integers(0, 2**32 - 1))
def test_every_scenario_ends_when_the_replay_of_it_ends(
    case: tuple[Weekend, Plan], seed: int
) -> None:
    """Simulator and replay agree on every finish to the second, whatever the weekend."""
    weekend, plan = case
    draws = draw(compile_weekend(weekend), 8, seed)
    replayed = [replay(weekend, plan, scenario_of(draws, i)).finish_s for i in range(8)]
    assert finishes_of(draws, plan).tolist() == replayed
