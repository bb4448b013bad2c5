"""What is to be expected of one activity, held against simulated luck."""

import numpy as np
import pytest

from fabsched.model.plan import Plan
from fabsched.model.weekend import Run, Task
from fabsched.odds.simulate import simulate
from fabsched.schedule.expected import fault_s, loss_s, mean_s, run_mean_s, tended_s
from tests.model.made import H, task, weekend
from tests.schedule.weekends import cut, gate, maker_weekend, printed, work

SCENARIOS = 20_000


def simulated_mean_s(activity: Run | Task) -> float:
    """Mean time of an activity that is alone in a weekend always open."""
    alone = weekend(activity, machines={"mex": "home"})
    finishes = simulate(alone, Plan(order=(activity.id,)), scenarios=SCENARIOS, seed=5)
    return float(np.mean(finishes)) - alone.begin_s


def test_mean_of_an_unattended_run_is_that_of_the_simulation() -> None:
    """Failures, noticing and starting again included; clearing again takes five minutes more."""
    run = printed("lid", 600, "mex")
    simulated_s = simulated_mean_s(run)
    assert tended_s(run) == pytest.approx(simulated_s, rel=0.01)


def test_mean_of_an_attended_run_is_that_of_the_simulation() -> None:
    """The way to the workshop apart."""
    run = cut("plate", 40)
    assert tended_s(run) == pytest.approx(simulated_mean_s(run) - H / 2, rel=0.01)


def test_mean_of_work_is_that_of_the_simulation() -> None:
    """The three-point mean."""
    build = task("build", work("x", 60).seconds)
    assert mean_s(build) == pytest.approx(simulated_mean_s(build), rel=0.01)


def test_fault_costs_what_the_simulation_says() -> None:
    """One work, a gate that finds it at fault: the gate's cost is what the mean finish grows by."""
    build = task("build", work("x", 60).seconds)
    look = task("look", work("x", 20).seconds, after=("build",), chance=0.4, redo=("build",))
    both = weekend(build, look)
    plan = Plan(order=("build", "look"))
    found_s = float(np.mean(simulate(both, plan, scenarios=SCENARIOS, seed=5)))
    assert fault_s(both, look) == pytest.approx(found_s - mean_s(build) - mean_s(look), rel=0.05)


def test_only_what_can_go_wrong_loses_anything() -> None:
    """Longer prints and surer gates lose more, plain work nothing."""
    found = maker_weekend()
    losses = {a.id: loss_s(found, a) for a in found.activities}
    assert losses["solder"] == 0
    assert 0 < losses["cradle"] < losses["louvre-1"] < losses["funnel"]
    assert losses["test-wiring"] > losses["fit-panel"] > 0


def test_gate_without_a_chance_costs_nothing() -> None:
    """Plain work is a gate that never finds anything."""
    assert fault_s(maker_weekend(), gate("idle", 10, 0.0, ("wire",))) == 0


def test_slower_machine_takes_longer() -> None:
    """Each choice has its own mean."""
    run = printed("lid", 60, "mex")
    slow = Run(
        id="lid",
        name="Lid",
        choices=(*run.choices, type(run.choices[0])("old", run.choices[0].seconds.scaled(2))),
        attended=False,
        start_s=run.start_s,
        clear_s=run.clear_s,
        fail_start=run.fail_start,
    )
    assert run_mean_s(slow, 1) == pytest.approx(2 * run_mean_s(slow, 0), rel=0.05)
