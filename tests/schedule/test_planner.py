"""The planner as a whole: every plan is accepted, the same each time, and says what it is worth."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.model.errors import Cancelled, PlanRejected
from fabsched.model.plan import Answer, Block, Kind, Plan
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.model.units import whole_s
from fabsched.model.weekend import Activity, Choice, Task, Weekend
from fabsched.model.windows import NEVER, Windows
from fabsched.odds.simulate import simulate
from fabsched.schedule import answers
from fabsched.schedule.answers import checked_course, marked
from fabsched.schedule.checker import check
from fabsched.schedule.effort import Effort, Seeds
from fabsched.schedule.guide import order_of
from fabsched.schedule.planner import make_plan, too_late
from fabsched.schedule.rules import Method
from fabsched.schedule.solver.solve import Schedule
from fabsched.schedule.taking import taken_for
from tests.model.made import MIN, H, as_listed, block, cutting, hours, printing, task, weekend
from tests.model.weekends import weekends as odd_weekends
from tests.schedule.synthetic import synthetic_weekend
from tests.schedule.test_search import Follower
from tests.schedule.weekends import maker_weekend, weekends

LITTLE = Effort(solver=0.05, race=100, search=300_000, most_tries=10, odds=500, last_starts=20)


@pytest.fixture(scope="module")
def answer() -> Answer:
    """The answer for the maker's weekend, with little effort."""
    return make_plan(maker_weekend(), seed=1, effort=LITTLE)


@settings(max_examples=25)
@given(weekends())
def test_every_plan_is_accepted(found: Weekend) -> None:
    """By the checker, and by a few rules spelt out here once more."""
    given_ = make_plan(found, seed=4, effort=LITTLE)
    assert check(found, given_.plan, given_.course) == ()
    assert sorted(given_.plan.order) == sorted(a.id for a in found.activities)
    assert list(overlaps(given_.course.blocks)) == []
    starts = {b.activity: b.start_s for b in reversed(given_.course.blocks) if b.activity}
    for activity in found.activities:
        for need in activity.after:
            assert given_.course.done_s[need] <= starts[activity.id]
    if given_.solver.bound_s is not None:
        assert given_.solver.bound_s <= given_.course.finish_s


def overlaps(blocks: tuple[Block, ...]) -> Iterator[tuple[str, str]]:
    """Blocks of one lane that overlap."""
    lanes = sorted(blocks, key=lambda b: (b.resource, b.start_s))
    for one, other in pairwise(lanes):
        if one.resource == other.resource and other.start_s < one.end_s:
            yield one.id, other.id


@settings(max_examples=10)
@given(st.integers(6, 20), st.integers(0, 99))
def test_weekends_with_decisions_are_planned(count: int, seed: int) -> None:
    """What is carried out is reached by swaps, and accepted; better plans are told as they are found."""
    found, heard = synthetic_weekend(count, seed), Follower()
    given_ = make_plan(found, seed=4, effort=LITTLE, live=heard)
    live = frozenset(given_.plan.order)
    assert check(found, given_.plan, given_.course) == ()
    assert sorted((*given_.plan.order, *given_.plan.dropped)) == sorted(
        a.id for a in found.activities
    )
    assert taken_for(found, live).live == live
    shares = [sofar.on_time for sofar in heard.heard]
    assert heard.heard[0].method is Method.EXPECTED_TAIL
    assert shares == sorted(shares)


@settings(max_examples=25)
@given(odd_weekends())
def test_odd_weekends_are_planned_too(found: Weekend) -> None:
    """People who are never up, places out of reach, gates that always find a fault."""
    found = replace(found, activities=tuple(lengthened(a) for a in found.activities))
    given_ = make_plan(found, seed=4, effort=LITTLE)
    assert sorted(given_.plan.order) == sorted(a.id for a in found.activities)
    assert too_late(found, given_) >= 0


def lengthened(activity: Activity) -> Activity:
    """One second longer: what takes no time has no block, and `structure` never makes such a thing."""
    if isinstance(activity, Task):
        return replace(activity, seconds=longer(activity.seconds))
    choices = tuple(Choice(c.machine, longer(c.seconds)) for c in activity.choices)
    return replace(activity, choices=choices)


def longer(spread: Spread) -> Spread:
    """By a second."""
    return Spread(spread.low + 1, spread.likely + 1, spread.high + 1)


def test_nothing_to_do_is_done_at_once() -> None:
    """A weekend without activities has an empty plan."""
    found = weekend()
    given_ = make_plan(found, seed=0, effort=LITTLE)
    assert (given_.plan, given_.course.blocks) == (Plan(order=()), ())
    assert given_.course.finish_s == found.begin_s
    assert given_.odds.on_time == 1


def test_same_seed_gives_the_same_answer(answer: Answer) -> None:
    """All of it, bit for bit."""
    assert make_plan(maker_weekend(), seed=1, effort=LITTLE) == answer


def test_odds_are_those_of_the_plan(answer: Answer) -> None:
    """Simulated anew, with other luck, they agree within their error."""
    found = maker_weekend()
    finishes = simulate(found, answer.plan, scenarios=4000, seed=99)
    share = float((finishes <= found.deadline_s).mean())
    assert answer.odds.on_time == pytest.approx(share, abs=4 * 0.014)
    assert answer.odds.scenarios == LITTLE.odds


def test_course_is_the_nominal_one(answer: Answer) -> None:
    """Apart from last starts it is what replay makes of the plan."""
    found = maker_weekend()
    plain = tuple(replace(b, last_start_s=None) for b in answer.course.blocks)
    assert plain == replay(found, answer.plan, nominal(found)).blocks


def test_last_starts_lie_at_or_after_the_start(answer: Answer) -> None:
    """Every block has one, ways and clearing included, but for a way home that leads to nothing."""
    for each in answer.course.blocks:
        if each.activity:
            assert each.last_start_s is not None
            assert each.last_start_s >= each.start_s
        else:
            assert each.kind is Kind.TRAVEL


def test_last_start_of_a_run_follows_its_start() -> None:
    """The machine is left alone as much later as hands begin later; no earlier than planned."""
    found = weekend(printing("lid", H), task("wire", H, after=("lid",)))
    course = replay(found, as_listed(found), nominal(found))
    later = marked(found, course, {"lid": 2 * H, "wire": 0})
    assert block(later, "lid.start").last_start_s == 2 * H
    assert block(later, "lid").last_start_s == 2 * H + 10 * MIN
    clearing = block(later, "lid.clear")
    assert clearing.last_start_s == clearing.start_s + 2 * H - block(later, "lid.start").start_s
    assert block(later, "wire").last_start_s == block(later, "wire").start_s


def test_last_start_of_clearing_is_no_moment_at_which_everybody_sleeps() -> None:
    """What would end at night if it began last is cleared in the morning."""
    found = weekend(printing("lid", H), up=hours((8, 22), (32, 46)))
    course = replay(found, as_listed(found), nominal(found))
    later = marked(found, course, {"lid": 21 * H + 30 * MIN})
    assert block(later, "lid.start").last_start_s == 21 * H + 30 * MIN
    assert block(later, "lid.clear").last_start_s == 32 * H


def test_last_start_of_what_is_travelled_to_counts_the_way() -> None:
    """Held back until a moment, one sets out then and begins when one is there.

    Half an hour to a cut of an hour with its tending, from a workshop open from 10 to 16: the last
    one that ends in time begins at 14:45.
    """
    found = weekend(cutting("plate", H), open_={"workshop": hours((10, 16))}, deadline_s=20 * H)
    course = make_plan(found, seed=1, effort=LITTLE).course
    assert block(course, "plate").start_s == 10 * H
    assert block(course, "plate").last_start_s == 14 * H + 45 * MIN


def test_no_last_starts_where_no_weekend_is_done_in_time() -> None:
    """Where the plan is hopeless there is nothing to put off."""
    given_ = make_plan(maker_weekend(slack=-20), seed=1, effort=LITTLE)
    assert all(b.last_start_s is None for b in given_.course.blocks)


def test_plan_is_better_than_as_listed() -> None:
    """Where the order decides, the planner finds a good one: the long print first."""
    found = weekend(
        *(task(f"w{i}", H) for i in range(5)),
        printing("foot", H),
        printing("lid", 6 * H),
        task("build", H, after=("lid",)),
        deadline_s=10 * H,
    )
    listed = simulate(found, as_listed(found), scenarios=500, seed=3)
    assert (listed <= found.deadline_s).mean() == 0
    assert make_plan(found, seed=1, effort=LITTLE).odds.on_time == 1


def test_solver_and_search_can_be_left_out() -> None:
    """Then the rules' best plan is the answer and nothing is said of a bound."""
    bare = replace(LITTLE, solver=0.0, search=0, last_starts=0)
    given_ = make_plan(maker_weekend(), seed=1, effort=bare)
    assert (given_.solver.status, given_.solver.bound_s) == ("unknown", None)
    assert Method(given_.method) in list(Method)[:4]


def test_misses_the_deadline_by_the_nominal_course() -> None:
    """In time is zero, late is the difference, and never done is never."""
    for deadline_s, late_s in ((3 * H, 0), (H, H), (2 * H, 0)):
        found = weekend(task("wire", 2 * H), deadline_s=deadline_s)
        assert too_late(found, make_plan(found, seed=0, effort=LITTLE)) == late_s


def test_answers_even_if_not_everything_fits() -> None:
    """Each of two works fits before the horizon, both do not: the course shows what does."""
    open_ = Windows.of([(0, 4 * H)])
    found = weekend(task("wire", 3 * H), task("solder", 3 * H), cutting("plate"), up=open_)
    given_ = make_plan(found, seed=0, effort=LITTLE)
    assert too_late(found, given_) == NEVER
    assert given_.odds.on_time == 0
    assert {b.activity for b in given_.course.blocks} <= {"wire", "solder", "plate", ""}


def test_refuses_to_show_what_the_checker_refuses(monkeypatch: pytest.MonkeyPatch) -> None:
    """A slip in the dispatch rule comes to light instead of to the user."""
    found = weekend(task("wire"), task("solder"))

    def slip(*args: object) -> object:
        course = replay(*args)  # type: ignore[arg-type]  # handed on as they come
        blocks = tuple(replace(b, end_s=b.end_s + 1) for b in course.blocks)
        return replace(course, blocks=blocks)

    monkeypatch.setattr(answers, "replay", slip)
    with pytest.raises(PlanRejected, match="overlap"):
        checked_course(found, as_listed(found))


class Listener:
    """A watch that writes down what it hears and wants an end at some stage."""

    def __init__(self, end: str = "") -> None:
        self.heard: list[tuple[float, str]] = []
        self.end = end

    def report(self, done: float, stage: str) -> None:
        """Write it down."""
        self.heard.append((done, stage))

    def stopped(self) -> bool:
        """From some stage on."""
        return bool(self.heard) and self.heard[-1][1] == self.end


STAGES = ["rules", "solver", "race", "search", "odds", "last-starts"]


def test_tells_of_its_progress() -> None:
    """Stages in order, shares that only grow and stay between nothing and all."""
    listener = Listener()
    make_plan(maker_weekend(), seed=1, effort=LITTLE, watch=listener)
    shares = [done for done, _ in listener.heard]
    assert list(dict.fromkeys(stage for _, stage in listener.heard)) == STAGES
    assert shares == sorted(shares)
    assert 0 <= shares[0] <= shares[-1] <= 1


@pytest.mark.parametrize("stage", STAGES)
def test_stops_at_any_stage(stage: str) -> None:
    """As soon as the watch wants it."""
    with pytest.raises(Cancelled):
        make_plan(maker_weekend(), seed=1, effort=LITTLE, watch=Listener(stage))


def test_order_of_a_schedule_counts_from_setting_out() -> None:
    """What is done elsewhere is as urgent as its way; what is left out comes last as before."""
    found = weekend(task("wire"), cutting("plate"), task("page"), task("solder"))
    schedule = Schedule(status="optimal", starts={"wire": 10 * MIN, "plate": 35 * MIN, "solder": 0})
    assert order_of(found, schedule, as_listed(found)).order == ("solder", "plate", "wire", "page")


def test_seeds_have_nothing_to_do_with_each_other() -> None:
    """Different for every use and every seed."""
    words = [getattr(Seeds.of(n), use) for n in range(20) for use in Seeds.__slots__]
    assert len(set(words)) == len(words)
    assert all(0 <= word < 2**31 for word in words)


def test_nothing_asked_for_is_done_at_once() -> None:
    """A weekend of optional work alone is in time whatever happens."""
    found = weekend(task("page", needed=False), up=hours((0, 4)))
    given_ = make_plan(found, seed=0, effort=LITTLE)
    assert (given_.odds.on_time, too_late(found, given_)) == (1, 0)
    assert whole_s(H) == block(given_.course, "page").end_s
    assert given_.plan == Plan(order=("page",))
