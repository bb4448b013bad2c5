"""Where no change is enough alone: several together, and what stands in the way."""

from dataclasses import replace

from fabsched.advise.fits import Barrier, Fit, Lever
from fabsched.advise.fitting import fits
from fabsched.advise.levers import put_to
from fabsched.advise.obstacles import obstacles
from fabsched.advise.weighing import Scales
from fabsched.model.spread import Spread
from fabsched.model.units import MINUTE_S
from fabsched.model.weekend import Choice, Weekend
from fabsched.odds.sample import Sample
from tests.model.made import H, as_listed, hours, printing, task, weekend

SAMPLE = Sample(seed=3, scenarios=300)


def found(week: Weekend) -> list[Fit]:
    """What would make a weekend fit."""
    return list(fits(Scales.of(week, as_listed(week), SAMPLE)))


def sets(week: Weekend) -> list[Fit]:
    """The sets among it."""
    return [fit for fit in found(week) if fit.code is Lever.SET]


def two_bottlenecks() -> Weekend:
    """Four prints of five hours in eleven, and five works of three hours by one person."""
    prints = (printing(f"p{i}", 5 * H) for i in range(4))
    works = (task(f"w{i}", 3 * H, people=("ada",)) for i in range(5))
    return weekend(*prints, *works, deadline_s=13 * H)


def test_two_things_that_are_short_are_cured_together() -> None:
    """A second printer wins nothing without help, help nothing without a printer: both do."""
    week = two_bottlenecks()
    told = found(week)
    assert not any(fit.enough for fit in told if fit.code not in {Lever.SET, Lever.DEADLINE})
    best = told[0]
    assert (best.code, best.enough) == (Lever.SET, True)
    assert {part.code for part in best.parts} == {Lever.MACHINE, Lever.HANDS}


def test_a_later_deadline_comes_after_all_else_that_is_enough() -> None:
    """It is always possible, and told last, to the quarter of an hour."""
    told = [fit for fit in found(two_bottlenecks()) if fit.enough]
    assert told[-1].code is Lever.DEADLINE
    assert told[-1].size_s % (15 * MINUTE_S) == 0


class Eager:
    """A watch that takes what is found on the way."""

    def __init__(self) -> None:
        """Nothing is found yet."""
        self.told: list[tuple[Fit, ...]] = []

    def report(self, done: float, stage: str) -> None:
        """Hear of the progress."""

    def stopped(self) -> bool:
        """Never."""
        return False

    def tell(self, what: object) -> None:
        """Take changes."""
        assert isinstance(what, tuple)
        self.told.append(what)

    def enough(self) -> bool:
        """All of them are wanted."""
        return False


def test_single_changes_are_told_before_sets_are_looked_for() -> None:
    """Whoever takes them has them at once: the same as are told in the end, without the sets."""
    week, watch = two_bottlenecks(), Eager()
    told = fits(Scales.of(week, as_listed(week), SAMPLE), watch=watch)
    (first,) = watch.told
    assert first == tuple(fit for fit in told if fit.code is not Lever.SET)
    assert {fit.code for fit in first} >= {Lever.DEADLINE}


def test_what_is_not_enough_is_told_with_a_deadline_that_is() -> None:
    """Work of forty hours with failures besides: help and a later deadline keep the wanted share."""
    long = Spread(3 * H, 4 * H, 6 * H)
    works = [task(f"w{i}", long, people=("ada",)) for i in range(10)]
    prints = [printing(f"p{i}", long, fail_start=0.2) for i in range(5)]
    for hours_ in (8, 10, 12):
        week = weekend(*works, *prints, deadline_s=hours_ * H)
        (some,) = sets(week)
        assert some.enough
        assert some.on_time >= week.wanted_odds
        late = some.parts[-1]
        assert late.code is Lever.DEADLINE
        assert late.until_s == week.deadline_s + late.size_s


def test_a_set_that_wins_chance_is_told_although_it_is_not_enough() -> None:
    """Risky prints for two printers, and a workshop that opens again in days: not sure, but a chance."""
    prints = (printing(f"p{i}", 5 * H, fail_start=0.15) for i in range(4))
    join = task("join", 2 * H, place="workshop", after=tuple(f"p{i}" for i in range(4)))
    open_ = {"workshop": hours((0, 2), (90, 110))}
    up = hours((0, 3), (5, 8), (10, 18), (20, 110))
    week = weekend(*prints, join, up=up, open_=open_, deadline_s=18 * H)
    whole = frozenset({"join", *(f"p{i}" for i in range(4))})
    told = fits(Scales.of(week, as_listed(week), SAMPLE), carriers=whole)
    (some,) = (fit for fit in told if fit.code is Lever.SET)
    assert {part.code for part in some.parts} >= {Lever.MACHINE, Lever.HOURS}
    assert Lever.DEADLINE not in {part.code for part in some.parts}
    assert not some.enough
    assert 0.3 < some.on_time < week.wanted_odds


def test_of_machines_that_are_alike_one_second_one_is_told() -> None:
    """Three printers that take the same runs ask for one more, not for one more of each."""
    choices = tuple(Choice(name, Spread.exactly(5 * H)) for name in ("one", "two", "three"))
    prints = (printing(f"p{i}", choices=choices) for i in range(4))
    homes = dict.fromkeys(("one", "two", "three"), "home")
    week = weekend(*prints, machines=homes, deadline_s=8 * H)
    (twin,) = (fit for fit in found(week) if fit.code is Lever.MACHINE)
    assert (twin.subject, twin.enough) == ("one", True)


def test_no_set_has_more_in_it_than_it_takes() -> None:
    """Without any one of its changes a set is not enough."""
    week = two_bottlenecks()
    for fit in (fit for fit in sets(week) if fit.enough):
        for part in fit.parts:
            rest = [other for other in fit.parts if other is not part]
            less = put_to(week, replace(fit, parts=tuple(rest)))
            scales = Scales.of(week, as_listed(week), SAMPLE)
            gain = scales.gain(less, scales.reordered(less, scales.carried(less)))
            assert gain.on_time < week.wanted_odds


def test_what_a_set_lacks_is_told_as_a_later_deadline() -> None:
    """A print of twenty hours in ten: nothing else helps, so that only the deadline is told."""
    week = weekend(printing("a", 20 * H), deadline_s=10 * H)
    told = found(week)
    assert [fit.code for fit in told] == [Lever.DEADLINE]


def test_the_furthest_set_asks_for_less_time_than_the_deadline_alone() -> None:
    """Work of forty hours in ten: help, and a deadline less late than without it."""
    works = (task(f"w{i}", 4 * H, people=("ada",)) for i in range(10))
    week = weekend(*works, deadline_s=10 * H)
    told = found(week)
    alone = next(fit for fit in told if fit.code is Lever.DEADLINE)
    (some,) = (fit for fit in told if fit.code is Lever.SET)
    (late,) = (part for part in some.parts if part.code is Lever.DEADLINE)
    assert late.size_s < alone.size_s
    assert some.enough


def test_the_same_seed_finds_the_same() -> None:
    """Nothing depends on the clock."""
    assert found(two_bottlenecks()) == found(two_bottlenecks())


def test_a_step_longer_than_the_time_stands_in_the_way() -> None:
    """A print of twenty hours with ten left."""
    week = weekend(printing("a", 20 * H), task("b", H), deadline_s=10 * H)
    first, *_ = obstacles(week, as_listed(week))
    assert (first.code, first.left_s) == (Barrier.ALONE, 10 * H)
    assert 20 * H <= first.takes_s < 21 * H


def test_a_chain_longer_than_the_time_stands_in_the_way() -> None:
    """Three works of four hours, each after the one before; what is beside them is not told."""
    week = weekend(
        task("a", 4 * H),
        task("b", 4 * H, after=("a",)),
        task("c", 4 * H, after=("b",)),
        task("beside", H),
        deadline_s=10 * H,
    )
    chain = next(each for each in obstacles(week, as_listed(week)) if each.code is Barrier.CHAIN)
    assert (chain.takes_s, chain.left_s) == (12 * H, 10 * H)
    assert "beside" not in chain.name


def test_hands_and_machines_with_too_much_to_do_stand_in_the_way() -> None:
    """Ten hours of printing and six of work where both have five."""
    up = hours((0, 5))
    prints = (printing(f"p{i}", 5 * H) for i in range(3))
    works = (task(f"w{i}", 3 * H) for i in range(2))
    week = weekend(*prints, *works, up=up, deadline_s=12 * H)
    codes = {each.code for each in obstacles(week, as_listed(week))}
    assert codes == {Barrier.MACHINE, Barrier.HANDS}


def test_nothing_stands_in_the_way_of_what_fits() -> None:
    """An hour's work in ten."""
    week = weekend(task("a", H), printing("b", H), deadline_s=10 * H)
    assert obstacles(week, as_listed(week)) == ()


def test_work_nobody_there_can_do_stands_in_the_way() -> None:
    """Bob alone solders, and is away: that is told with what would help; nothing if Ada can as well."""
    week = weekend(task("solder", H, people=("bob",)), task("glue", H), deadline_s=9 * H)
    bob = replace(week.hands[0], id="bob", name="Bob")
    week = replace(week, hands=(week.hands[0], bob))
    gone = replace(week, hands=(week.hands[0], replace(bob, windows=hours((60, 70)))))
    (told,) = obstacles(gone, as_listed(gone))
    assert (told.code, told.takes_s, told.left_s) == (Barrier.ABLE, H, 0)
    assert told.name == f"{week.activities[0].name} (Bob)"
    assert not obstacles(week, as_listed(week))
