"""The chain that decides the finish, what would move it, and what is kept apart."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings

from fabsched.model.plan import Kind, Plan, Why
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.weekend import Turn, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.chains import MOST_TRIED, QUICKER_S, chain, gains, most_links, precedes
from fabsched.schedule.isolation import Alone, isolated
from fabsched.schedule.rules import proposals
from tests.schedule.synthetic import synthetic_weekend
from tests.schedule.test_decisions import part, planned
from tests.schedule.weekends import BEGIN, maker_weekend, printed, weekends, work


def plan_of(weekend: Weekend) -> Plan:
    """The plan by the critical tail."""
    return proposals(weekend)[2].plan


@settings(max_examples=40, deadline=None)
@given(weekends())
def test_links_follow_each_other_back_from_the_finish(weekend: Weekend) -> None:
    """The chain ends at the finish, runs back without overlap, and starts where nothing held it."""
    course = replay(weekend, plan_of(weekend), nominal(weekend))
    blocks = {block.id: block for block in course.blocks}
    links = [blocks[ident] for ident in chain(weekend, course)]
    needed = any(activity.needed for activity in weekend.activities)
    if not needed or course.finish_s not in course.done_s.values():
        return
    assert links[0].end_s == course.finish_s
    assert len({link.id for link in links}) == len(links)
    for later, earlier in pairwise(links):
        assert earlier.end_s <= later.start_s
    first = links[-1]
    assert first.reason.code is Why.EARLIEST or not [
        b for b in course.blocks if b.resource == first.resource and b.end_s <= first.start_s
    ]


def test_chain_of_a_print_and_what_follows() -> None:
    """Started, run, cleared, assembled: the work beside it is no part of the chain."""
    weekend = replace(
        maker_weekend(),
        activities=(printed("lid", 120, "mex"), work("solder", 30), work("build", 20, "lid")),
    )
    course = replay(weekend, Plan(order=("lid", "solder", "build")), nominal(weekend))
    assert chain(weekend, course) == ("build", "lid.clear", "lid", "lid.start")
    assert precedes(course) == {"lid": ("build",)}


def test_a_set_hour_begins_the_chain() -> None:
    """Where the finish hangs on a visit at a set hour, nothing done before decides it."""
    visit = replace(work("visit", 30), earliest_s=BEGIN + 6 * QUICKER_S)
    weekend = replace(maker_weekend(), activities=(work("solder", 30), visit))
    course = replay(weekend, Plan(order=("solder", "visit")), nominal(weekend))
    assert chain(weekend, course) == ("visit",)


def test_chain_goes_over_a_way() -> None:
    """Somebody who has to go somewhere first: the way is a link."""
    weekend = maker_weekend()
    course = replay(weekend, plan_of(weekend), nominal(weekend))
    blocks = {block.id: block for block in course.blocks}
    kinds = {blocks[ident].kind for ident in chain(weekend, course)}
    assert Kind.WORK in kinds
    assert blocks[chain(weekend, course)[-1]].start_s >= BEGIN


def test_what_is_on_the_chain_moves_the_finish() -> None:
    """Half an hour less of the print brings half an hour; the work beside it is not looked at."""
    weekend = replace(
        maker_weekend(),
        activities=(printed("lid", 120, "mex"), work("solder", 30), work("build", 40, "lid")),
    )
    plan = Plan(order=("lid", "solder", "build"))
    course = replay(weekend, plan, nominal(weekend))
    found = {gain.activity: gain.sooner_s for gain in gains(weekend, plan, course)}
    assert found == {"lid": QUICKER_S, "build": QUICKER_S}


def test_a_little_less_may_do_much_before_a_place_closes() -> None:
    """Eleven minutes too long for today's hours: that much less is told, and what it brings."""
    up = Windows.of([(BEGIN, BEGIN + 120 * 60), (BEGIN + 600 * 60, BEGIN + 900 * 60)])
    usual = maker_weekend()
    hands = tuple(replace(each, windows=up) for each in usual.hands)
    weekend = replace(usual, hands=hands, activities=(work("saw", 71), work("glue", 60, "saw")))
    plan = Plan(order=("saw", "glue"))
    course = replay(weekend, plan, nominal(weekend))
    assert course.finish_s == BEGIN + 660 * 60
    found = {gain.activity: gain for gain in gains(weekend, plan, course)}
    assert (found["saw"].quicker_s, found["saw"].sooner_s) == (11 * 60, 540 * 60)


def test_what_is_quicker_is_begun_in_shorter_hours() -> None:
    """Twenty minutes too long for what is left of the day: so much less, and it is done today."""
    up = Windows.of([(BEGIN, BEGIN + 120 * 60), (BEGIN + 600 * 60, BEGIN + 900 * 60)])
    usual = maker_weekend()
    hands = tuple(replace(each, windows=up) for each in usual.hands)
    weekend = replace(usual, hands=hands, activities=(work("saw", 60), work("glue", 80, "saw")))
    plan = Plan(order=("saw", "glue"))
    course = replay(weekend, plan, nominal(weekend))
    assert course.finish_s == BEGIN + 680 * 60
    found = {gain.activity: gain for gain in gains(weekend, plan, course)}
    assert (found["glue"].quicker_s, found["glue"].sooner_s) == (20 * 60, 560 * 60)
    assert (found["saw"].quicker_s, found["saw"].sooner_s) == (20 * 60, 560 * 60)


def test_what_wins_most_for_what_it_takes_is_told_first() -> None:
    """The order is that of seconds won by seconds shaved off, then of seconds won."""
    weekend = synthetic_weekend(15, 0)
    plan = plan_of(weekend)
    found = gains(weekend, plan, replay(weekend, plan, nominal(weekend)))
    worth = [(gain.sooner_s / gain.quicker_s, gain.sooner_s) for gain in found]
    assert worth == sorted(worth, reverse=True)
    assert len(worth) > 1


def test_fewer_links_are_looked_at_in_large_weekends() -> None:
    """So that they never take long; of the largest none."""
    links = [most_links(count) for count in range(1, 1000, 10)]
    assert links == sorted(links, reverse=True)
    assert (links[0], links[-1]) == (MOST_TRIED, 0)


def test_what_could_not_begin_before_begins_the_chain_whatever_the_hours() -> None:
    """What comes in the night waits for the morning; the work of the day before decides nothing."""
    up = Windows.of([(BEGIN, BEGIN + 120 * 60), (BEGIN + 600 * 60, BEGIN + 900 * 60)])
    usual = maker_weekend()
    hands = tuple(replace(each, windows=up) for each in usual.hands)
    solder = replace(work("solder", 30), earliest_s=BEGIN + 300 * 60)
    weekend = replace(usual, hands=hands, activities=(work("saw", 60), solder))
    course = replay(weekend, Plan(order=("saw", "solder")), nominal(weekend))
    assert course.finish_s == BEGIN + 630 * 60
    assert chain(weekend, course) == ("solder",)


def test_no_chain_without_a_finish() -> None:
    """Where the finish is not reached before the horizon nothing decides it."""
    weekend = maker_weekend()
    course = replay(weekend, plan_of(weekend), nominal(weekend))
    assert chain(weekend, replace(course, finish_s=2**53)) == ()


def test_long_prints_are_apart_because_of_their_risk() -> None:
    """Two long prints lose more together than the hands they would save; short ones do not."""
    weekend = synthetic_weekend(40, 0)
    found = isolated(weekend, plan_of(weekend))
    assert {each.swap.id for each in found} == {
        swap.id for swap in weekend.swaps if swap.kind is Turn.BED and swap.out <= weekend.standing
    }
    assert [each.lost_s for each in found] == sorted((e.lost_s for e in found), reverse=True)
    assert found[0].code is Alone.RISK
    _, small = planned(part("a"), part("b"))
    (pair,) = isolated(small, plan_of(small))
    assert (pair.runs, pair.code, pair.saved_s) == (("a", "b"), Alone.SOONER, 900)
    assert pair.lost_s == pytest.approx(60, abs=60)


def test_what_shares_a_bed_is_not_apart() -> None:
    """Once the swap is taken there is nothing to say."""
    _, found = planned(part("a"), part("b"))
    assert isolated(found, Plan(order=("a+b",), dropped=frozenset({"a", "b"}))) == ()


def test_hands_that_watch_what_they_started_stay_in_the_chain() -> None:
    """The machine runs before they leave it, and still it is they who began it."""
    lid = replace(printed("lid", 120, "mex"), watch_s=600)
    weekend = replace(maker_weekend(), activities=(lid, work("build", 20, "lid")))
    course = replay(weekend, Plan(order=("lid", "build")), nominal(weekend))
    assert chain(weekend, course) == ("build", "lid.clear", "lid", "lid.start")
