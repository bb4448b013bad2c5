"""When it cannot be done in time: what would make it fit."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from fabsched.advise.drops import carriers
from fabsched.advise.fits import Fit, Lever
from fabsched.advise.fitting import fits
from fabsched.advise.levers import Changed, levers
from fabsched.advise.weighing import Scales
from fabsched.model.errors import Cancelled
from fabsched.model.plan import Plan
from fabsched.model.project import Project, Work
from fabsched.model.spread import Spread
from fabsched.model.weekend import Weekend
from fabsched.odds.sample import Sample
from tests.model.made import H, as_listed, cutting, hours, printing, task, weekend

SAMPLE = Sample(seed=3, scenarios=300)


class Impatient:
    """A watch that says stop."""

    def report(self, done: float, stage: str) -> None:
        """Hear of the progress."""

    def stopped(self) -> bool:
        """Whether to stop: yes."""
        return True


def found(
    week: Weekend,
    plan: Plan | None = None,
    others: tuple[Changed, ...] = (),
    whole: frozenset[str] = frozenset(),
) -> list[Fit]:
    """What would make a weekend fit."""
    return list(fits(Scales.of(week, plan or as_listed(week), SAMPLE), others, carriers=whole))


def of(told: list[Fit], code: Lever) -> Fit | None:
    """The first of a kind."""
    return next((fit for fit in told if fit.code is code), None)


def test_the_deadline_is_put_off_by_as_much_as_is_missing() -> None:
    """Ten hours of sure work in nine hours ask for one hour more, in steps of half an hour."""
    late = of(found(weekend(task("a", 10 * H), deadline_s=9 * H)), Lever.DEADLINE)
    assert late is not None
    assert (late.size_s, late.until_s, late.on_time, late.enough) == (H, 10 * H, 1.0, True)


def test_another_pair_of_hands_halves_what_can_be_shared() -> None:
    """Two works of four hours in five: four hours of help are enough, two are not."""
    works = (task(ident, 4 * H, people=("ada",)) for ident in ("a", "b"))
    told = of(found(weekend(*works, deadline_s=5 * H)), Lever.HANDS)
    assert told is not None
    assert (told.size_s, told.from_s, told.enough) == (4 * H, 0, True)


def test_a_second_machine_prints_side_by_side() -> None:
    """Two prints of six hours in nine hours do not fit on one printer."""
    week = weekend(printing("a", 6 * H), printing("b", 6 * H), deadline_s=9 * H)
    told = of(found(week), Lever.MACHINE)
    assert told is not None
    assert (told.subject, told.on_time, told.enough) == ("printer", 1.0, True)


def test_a_place_stays_open_for_as_long_as_needed() -> None:
    """A cut of an hour and a quarter in a workshop open for an hour fits with one hour more."""
    week = weekend(cutting("a"), open_={"workshop": hours((2, 3), (60, 70))}, deadline_s=10 * H)
    told = of(found(week), Lever.HOURS)
    assert told is not None
    assert (told.subject, told.size_s, told.enough) == ("workshop", H, True)
    assert (told.from_s, told.until_s) in {(H, 2 * H), (3 * H, 4 * H)}


def test_somebody_works_an_hour_longer_but_not_through_a_pause() -> None:
    """Ada is an hour short on Friday: she ends later, or begins earlier on Saturday; she eats."""
    up = hours((0, 2), (3, 5), (15, 18), (60, 70))
    week = weekend(*(task(f"a{i}", H) for i in range(8)), up=up, deadline_s=18 * H)
    told = of(found(week), Lever.AWAKE)
    assert told is not None
    assert (told.subject, told.size_s, told.enough) == ("ada", H, True)
    asked = [fit for fit in found(week) if fit.code is Lever.AWAKE]
    assert {(fit.from_s, fit.until_s) for fit in asked} <= {(5 * H, 6 * H), (14 * H, 15 * H)}


def test_what_is_optional_is_left_out_before_what_is_needed() -> None:
    """Either one alone fits; the optional one asks for nothing."""
    week = weekend(
        task("first", 4 * H, of="first", needed=False),
        task("second", 4 * H, of="second", after=("first",)),
        deadline_s=5 * H,
    )
    told = found(week)
    assert (told[0].code, told[0].subject, told[0].enough) == (Lever.DROP, "first", True)
    assert of(told, Lever.DROP_NEEDED) is not None


def test_what_joins_everything_is_not_left_out() -> None:
    """Without the last step nothing would be late, and nothing be made: it is not offered."""
    week = weekend(
        *(task(name, 2 * H, of=name) for name in ("a", "b", "c")),
        task("join", 3 * H, of="join", after=("a", "b", "c")),
        deadline_s=7 * H,
    )
    minutes = Spread(120.0, 120.0, 120.0)
    works = [Work(id=name, name=name, minutes=minutes) for name in ("a", "b", "c")]
    project = Project(
        name="",
        zone=ZoneInfo("UTC"),
        deadline=datetime(2026, 10, 25, tzinfo=UTC),
        works=(*works, Work(id="join", name="", minutes=minutes, after=("a", "b", "c"))),
    )
    assert carriers(project) == {"join"}
    told = found(week, whole=carriers(project))
    dropped = {fit.subject for fit in told if fit.code is Lever.DROP_NEEDED}
    assert dropped
    assert dropped <= {"a", "b", "c"}


def test_other_changes_are_tried_as_well() -> None:
    """Of two earlier starts that are both enough the smaller one is told."""

    def up_from(hour: int) -> Weekend:
        return weekend(task("a", 10 * H), up=hours((hour, 200)), deadline_s=12 * H)

    others = tuple(
        Changed(fit=Fit(code=Lever.START, size_s=sooner * H), weekend=up_from(3 - sooner))
        for sooner in (2, 1)
    )
    sooner = of(found(up_from(3), others=others), Lever.START)
    assert sooner is not None
    assert (sooner.size_s, sooner.enough) == (H, True)


def test_what_wins_nothing_is_not_told() -> None:
    """A second printer is of no use to somebody who only solders; nothing is twice in the list."""
    week = weekend(task("a", Spread(3 * H, 5 * H, 8 * H)), printing("b", H), deadline_s=6 * H)
    told = found(week)
    assert of(told, Lever.MACHINE) is None
    assert len({(fit.code, fit.subject) for fit in told}) == len(told)
    assert all(fit.gain > 0 for fit in told)


def test_levers_change_nothing_else() -> None:
    """Every changed weekend has the same activities, and all of them may still be planned."""
    week = weekend(printing("a"), cutting("b"), open_={"workshop": hours((1, 4))})
    for change in levers(week, as_listed(week)):
        assert [a.id for a in change.weekend.activities] == ["a", "b"]
        assert change.weekend != week


def test_it_may_be_stopped() -> None:
    """The watch is asked."""
    week = weekend(task("a", 10 * H), deadline_s=9 * H)
    with pytest.raises(Cancelled):
        fits(Scales.of(week, as_listed(week), SAMPLE), watch=Impatient())
