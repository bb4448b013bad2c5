"""Fewer copies of a part: the last thing that is looked at, said so, and planned as weighed."""

from dataclasses import replace
from pathlib import Path

from fabsched.advise.fits import Fit, Lever
from fabsched.advise.fitting import fits
from fabsched.advise.levers import Changed
from fabsched.advise.weighing import Scales
from fabsched.model.project import Component
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Run
from fabsched.odds.sample import Sample
from fabsched.session.bench import Bench
from fabsched.session.fit_copies import fewer
from fabsched.session.fit_files import line_changes
from fabsched.session.fit_telling import carry_out
from fabsched.session.fit_words import deed_text
from fabsched.session.requests import PlanResponse
from tests.model.made import H, as_listed, task, weekend
from tests.session.made import NOW, response_to
from tests.session.test_bench import bench_of
from tests.session.test_fit_deliveries import asked
from tests.session.test_fit_deliveries import planned as plan_of


def bench_of_lids(root: Path, copies: int, **more: object) -> Bench:
    """A box of several lids."""
    bench = bench_of(root)
    bench.change(
        "edit",
        lambda now: replace(
            now,
            parts=tuple(
                replace(p, copies=copies, per_run=1, minutes=Spread.exactly(120), **more)  # type: ignore[arg-type] # fields of a part
                for p in now.parts
            ),
        ),
    )
    return bench


def planned(bench: Bench) -> PlanResponse:
    """The plan of the project as it is, its estimates known."""
    for request in bench.estimate_requests():
        assert bench.accept(response_to(request, 2 * HOUR_S))
    return plan_of(bench)


def test_what_is_weighed_is_what_is_planned_once_it_is_carried_out(tmp_path: Path) -> None:
    """One fewer and so on, never none; undo brings them back."""
    bench = bench_of_lids(tmp_path, 6)
    response = planned(bench)
    changes = list(fewer(asked(bench, response)))
    assert [change.fit.copies for change in changes] == [(5, 6), (3, 6), (2, 6)]
    for change in changes:
        assert line_changes(bench, response.weekend, change.fit)
        assert carry_out(bench, response.weekend, change.fit, NOW)
        assert planned(bench).weekend.activities == change.weekend.activities
        runs = [a for a in change.weekend.activities if isinstance(a, Run)]
        assert {sum(count for _, count in run.cargo) for run in runs} >= {1}
        bench.undo()
    assert bench.project.parts[0].copies == 6


def test_of_one_and_of_what_is_not_needed_there_are_no_fewer(tmp_path: Path) -> None:
    """What is optional is left out instead."""
    for name, copies, needed in (("one", 1, True), ("more", 4, False)):
        bench = bench_of_lids(tmp_path / name, copies, needed=needed)
        assert not list(fewer(asked(bench, planned(bench))))


def test_it_holds_under_way_as_well(tmp_path: Path) -> None:
    """With something told to the log, the rest of the weekend is laid out."""
    bench = bench_of_lids(tmp_path, 4)
    sensor = Component(id="sensor", name="Sensor", needed_by=("solder",), delivery_days=1)
    bench.change("edit", lambda now: replace(now, components=(sensor,)))
    response = planned(bench)
    fit = Fit(code=Lever.COMPONENT, subject="sensor", from_s=response.weekend.begin_s + 2 * HOUR_S)
    assert carry_out(bench, response.weekend, fit, NOW)
    response = planned(bench)
    for change in fewer(asked(bench, response)):
        assert carry_out(bench, response.weekend, change.fit, NOW)
        assert planned(bench).weekend.activities == change.weekend.activities
        bench.undo()


def made(copies: int) -> Changed:
    """Nine hours of work for so many copies of three."""
    fit = Fit(code=Lever.COPIES, subject="lid", name="Lid", copies=(copies, 3))
    return Changed(fit=fit, weekend=weekend(task("a", 3 * copies * H), deadline_s=7 * H))


def test_it_is_the_last_resort_and_says_so() -> None:
    """Two of three are enough, told after the later deadline; not looked at where anything else does."""
    week = weekend(task("a", 9 * H), deadline_s=7 * H)
    sample = Sample(seed=3, scenarios=300)
    scales = Scales.of(week, as_listed(week), sample)
    told = fits(scales, last=(made(2), made(1)), carriers=frozenset({"a"}))
    assert [(fit.code, fit.copies, fit.enough) for fit in told] == [
        (Lever.DEADLINE, (0, 0), True),
        (Lever.COPIES, (2, 3), True),
    ]
    assert "last resort" in deed_text(week, told[-1])
    assert "2 of Lid instead of 3" in deed_text(week, told[-1])
    sooner = Fit(code=Lever.START, size_s=2 * HOUR_S)
    other = Changed(fit=sooner, weekend=weekend(task("a", 7 * H), deadline_s=7 * H))
    told = fits(scales, (other,), last=(made(2),), carriers=frozenset({"a"}))
    assert Lever.COPIES not in {fit.code for fit in told}


def test_what_is_not_enough_is_told_by_what_it_wins_and_as_the_plan_is_known() -> None:
    """Whatever kind it is; and chances move by what is known better of the plan."""
    works = (task(name, Spread(2 * H, 3 * H, 6 * H), of=name) for name in ("a", "b", "c"))
    week = weekend(*works, deadline_s=5 * H)
    scales = Scales.of(week, as_listed(week), Sample(seed=3, scenarios=300))
    told = fits(scales)
    gains = [fit.gain for fit in told if not fit.enough]
    assert len(gains) > 2
    assert gains == sorted(gains, reverse=True)
    moved = fits(replace(scales, known=-0.01))
    assert [fit.on_time for fit in moved] == [max(0.0, fit.on_time - 0.01) for fit in told]
