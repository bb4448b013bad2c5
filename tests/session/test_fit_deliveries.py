"""Components that come sooner: weighed, told to the log, and planned as they were weighed."""

from dataclasses import replace
from datetime import timedelta
from math import sqrt
from pathlib import Path

import pytest

from fabsched.advise.fits import Fit, Lever
from fabsched.advise.levers import put_to
from fabsched.cli.fit_text import commands
from fabsched.model.project import Component, Work
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Bound, Weekend
from fabsched.session.bench import Bench
from fabsched.session.fit_deliveries import earlier
from fabsched.session.fit_records import FitInput
from fabsched.session.fit_request import FitRequest, fit_request
from fabsched.session.fit_taking import take_fit
from fabsched.session.fit_telling import carry_out
from fabsched.session.requests import PlanResponse
from fabsched.session.sayings import Saying, Verb
from tests.session.made import NOW
from tests.session.test_bench import bench_of

NOW_S = int(NOW.timestamp())
WIRE = Work(id="wire", name="Wire", minutes=Spread.exactly(60))
SENSOR = Component(id="sensor", name="Sensor", needed_by=("wire",), delivery_days=2)
CABLE = Component(id="cable", name="Cable", needed_by=("wire",), delivery_days=1)


def bench_with(root: Path, *components: Component, **more: object) -> Bench:
    """A box with something to wire, for which components are missing."""
    bench = bench_of(root)
    wire = replace(WIRE, **more)  # type: ignore[arg-type] # fields of a work
    bench.change("edit", lambda now: replace(now, works=(wire,), components=components))
    return bench


def planned(bench: Bench) -> PlanResponse:
    """The plan of the project as it is, taken in hand."""
    response = bench.plan_request(NOW).run()
    assert bench.accept(response)
    return response


def asked(bench: Bench, response: PlanResponse) -> FitRequest:
    """What is asked of a plan."""
    entries = bench.log.entries
    return fit_request(bench, response.weekend, response.answer, NOW, entries=entries)


def waits(weekend: Weekend) -> tuple[Bound, int]:
    """What the wiring waits for, and until when."""
    activity = weekend.activity("wire")
    return activity.bound, activity.earliest_s


def told(given: FitInput) -> list[Fit]:
    """What could come sooner."""
    return [change.fit for change in earlier(given)]


def test_what_is_to_be_ordered_is_fetched_in_time_and_undone_as_one(tmp_path: Path) -> None:
    """Told to the log, it holds the work until then and no longer; the plan keeps what was told."""
    bench = bench_with(tmp_path, SENSOR)
    first = planned(bench)
    assert waits(first.weekend)[0] is Bound.ORDER
    (best, *_) = [fit for fit in asked(bench, first).run().fits if fit.code is Lever.COMPONENT]
    assert (best.subject, best.name) == ("sensor", "Sensor")
    assert best.enough
    assert not take_fit(bench, first.weekend, best)
    assert carry_out(bench, first.weekend, best, NOW)
    second = planned(bench)
    assert waits(second.weekend) == (Bound.TOLD, best.from_s)
    assert waits(put_to(first.weekend, best))[1] == best.from_s
    odds = second.answer.odds
    error = sqrt(best.on_time * (1 - best.on_time) / 2000 + 0.25 / odds.scenarios)
    assert abs(odds.on_time - best.on_time) <= 3 * error
    bench.undo()
    assert waits(planned(bench).weekend)[0] is Bound.ORDER
    assert not bench.log.state.earliest_s
    bench.redo()
    assert waits(planned(bench).weekend) == (Bound.TOLD, best.from_s)


def test_what_was_told_to_come_comes_sooner(tmp_path: Path) -> None:
    """A component on its way, and a delivery a work waits for: both by a moment told anew."""
    bench = bench_with(tmp_path, SENSOR, not_before=NOW + timedelta(hours=20))
    planned(bench)
    for block, hours in (("sensor", 40), ("wire", 30)):
        until_s = NOW_S + hours * HOUR_S
        bench.tell(Saying(verb=Verb.DELAY, block=block, at_s=NOW_S, now_s=NOW_S, until_s=until_s))
    response = planned(bench)
    given = asked(bench, response)
    assert waits(response.weekend) == (Bound.TOLD, NOW_S + 40 * HOUR_S)
    fits = told(given)
    assert {fit.code for fit in fits} == {Lever.COMPONENT, Lever.DELIVERY}
    for fit in fits:
        alone = waits(put_to(response.weekend, fit))[1]
        other = 30 if fit.code is Lever.COMPONENT else 40
        assert alone == max(fit.from_s, NOW_S + other * HOUR_S)
        assert carry_out(bench, response.weekend, fit, NOW)
        assert waits(planned(bench).weekend) == (Bound.TOLD, alone)
        bench.undo()


def test_several_that_hold_the_same_up_come_together(tmp_path: Path) -> None:
    """One alone wins nothing; both, and a later deadline, are one step that undo takes back."""
    bench = bench_with(tmp_path, SENSOR, replace(CABLE, delivery_days=2))
    response = planned(bench)
    given = asked(bench, response)
    parts = {fit.subject: fit for fit in told(given)}
    assert set(parts) == {"sensor", "cable"}
    for fit in parts.values():
        assert waits(put_to(response.weekend, fit))[1] == waits(response.weekend)[1]
    deadline = Fit(code=Lever.DEADLINE, size_s=HOUR_S, until_s=response.weekend.deadline_s + HOUR_S)
    both = Fit(code=Lever.SET, parts=(*parts.values(), deadline))
    last_s = max(fit.from_s for fit in parts.values())
    assert waits(put_to(response.weekend, both))[1] == last_s
    before = bench.project
    assert carry_out(bench, response.weekend, both, NOW)
    after = planned(bench).weekend
    assert (waits(after)[1], after.deadline_s) == (last_s, deadline.until_s)
    bench.undo()
    assert bench.project == before
    assert not bench.log.state.earliest_s
    bench.redo()
    assert planned(bench).weekend.activities == after.activities


def test_what_could_be_had_at_night_or_in_the_past_is_not_told(tmp_path: Path) -> None:
    """Every moment is to come, and somebody is up then."""
    bench = bench_with(tmp_path, SENSOR)
    response = planned(bench)
    fits = told(asked(bench, response))
    assert fits
    for fit in fits:
        assert NOW_S < fit.from_s < waits(response.weekend)[1]
        assert any(h.windows.open_s(fit.from_s - 900, fit.from_s) for h in response.weekend.hands)


@pytest.mark.parametrize("have", [0, 1])
def test_the_command_says_it_to_the_log(tmp_path: Path, have: int) -> None:
    """It names the component and the moment; what is in hand needs none."""
    bench = bench_with(tmp_path, replace(SENSOR, have=have))
    fits = told(asked(bench, planned(bench)))
    assert bool(fits) is not bool(have)
    for fit in fits:
        ((*log, until),) = commands(fit, bench)
        assert log == ["fabsched", "log", str(bench.folder), "delay", "sensor", "--until"]
        assert until.endswith(("+02:00", "+01:00"))
