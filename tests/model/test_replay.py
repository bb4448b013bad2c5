"""The dispatch rule: who does what when."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fabsched.model.plan import Course, Kind, Plan, Why
from fabsched.model.replay import replay
from fabsched.model.scenario import Scenario, nominal
from fabsched.model.spread import Spread
from fabsched.model.weekend import NOTICE_S, Activity, Choice, Going, Run, Weekend
from fabsched.model.windows import NEVER
from fabsched.schedule.checker import check
from tests.model.made import MIN, H, as_listed, block, cutting, hours, printing, span, task, weekend
from tests.model.weekends import UNIT_S, begun, weekends


def lasting(activity: Activity) -> Activity:
    """The same with some likely time, since a block without length cannot be drawn."""
    if isinstance(activity, Run):
        choices = (Choice(c.machine, _lasting(c.seconds)) for c in activity.choices)
        return replace(activity, choices=tuple(choices))
    return replace(activity, seconds=_lasting(activity.seconds))


def _lasting(spread: Spread) -> Spread:
    return spread if spread.likely else Spread(spread.low, UNIT_S, spread.high + UNIT_S)


@settings(max_examples=200)
@given(st.one_of(weekends(), begun()))
def test_every_nominal_course_is_accepted_by_the_checker(week: Weekend) -> None:
    """The independent checker finds nothing wrong with any course that comes to an end."""
    week = replace(week, activities=tuple(lasting(activity) for activity in week.activities))
    course = replay(week, as_listed(week), nominal(week))
    assume(len(course.done_s) == len(week.activities))
    assert check(week, as_listed(week), course) == ()


def test_hands_work_while_the_machine_runs() -> None:
    """A print is started, work goes on beside it, and it is cleared when hands are free."""
    week = weekend(printing("lid"), task("code", 3 * H), printing("box"))
    course = replay(week, as_listed(week), nominal(week))
    assert span(course, "lid.start") == (0, 1 / 6)
    assert span(course, "lid") == (1 / 6, 13 / 6)
    assert span(course, "code") == (1 / 6, 19 / 6)
    assert course.done_s["lid"] == block(course, "lid.clear").end_s == round(3.25 * H)
    # The machine is held until it is cleared.
    assert block(course, "box.start").start_s == block(course, "lid.clear").end_s
    assert course.finish_s == course.done_s["box"]


def test_a_print_ending_at_night_is_cleared_in_the_morning() -> None:
    """A machine runs on while everybody sleeps; nobody clears it before they are up."""
    week = weekend(printing("lid", 8 * H), up=hours((0, 1), (12, 20)))
    course = replay(week, as_listed(week), nominal(week))
    assert span(course, "lid.clear")[0] == 12


def test_one_travels_only_for_what_is_already_there() -> None:
    """One leaves with the drawing when it is ready, and goes back with the plate when it is cut."""
    week = weekend(
        task("draw"),
        cutting("plate", after=("draw",)),
        task("glue", after=("plate",)),
        task("tidy"),
    )
    course = replay(week, Plan(order=("plate", "glue", "draw", "tidy")), nominal(week))
    assert span(course, "ada.travel.1") == (1, 1.5)
    assert span(course, "plate") == (1.5, 2.75)
    assert span(course, "plate.hands") == (1.5, 2.75)
    assert block(course, "plate").attended
    assert span(course, "ada.travel.2") == (2.75, 3.25)
    assert span(course, "glue")[0] == 3.25


def test_one_leaves_so_as_to_arrive_when_the_place_opens() -> None:
    """Nobody waits at a closed door: what can be done at home comes before the way."""
    week = weekend(cutting("plate"), task("tidy", H), open_={"workshop": hours((3, 9))})
    course = replay(week, as_listed(week), nominal(week))
    assert span(course, "tidy") == (0, 1)
    assert span(course, "ada.travel.1") == (2.5, 3)
    assert span(course, "plate")[0] == 3


@pytest.mark.parametrize(("earliest_h", "trips"), [(3.0, 1), (3.01, 3)])
def test_one_waits_there_if_going_home_takes_as_long(earliest_h: float, trips: int) -> None:
    """Away, one waits for the next step there up to the time that home and back would take."""
    week = weekend(cutting("first", 1.25 * H), cutting("second", earliest_s=round(earliest_h * H)))
    course = replay(week, as_listed(week), nominal(week))
    # The first cut takes from 0.5 h to 2 h; home and back takes 1 h.
    assert block(course, "first").end_s == 2 * H
    assert sum(b.kind is Kind.TRAVEL for b in course.blocks) == trips


def test_more_urgent_work_elsewhere_waits_for_what_can_be_done_here() -> None:
    """Away, what can be started on the spot goes before anything at home."""
    week = weekend(
        cutting("first"), task("urgent", after=("first",)), cutting("second"), task("last")
    )
    course = replay(week, Plan(order=("first", "urgent", "second", "last")), nominal(week))
    ends = [block(course, ident).end_s for ident in ("first", "second", "urgent", "last")]
    assert ends == sorted(ends)


def test_what_may_not_be_split_waits_for_a_long_enough_stretch() -> None:
    """Two hours do not fit before lunch; an hour that may be split lies over it."""
    up = hours((0, 1), (2, 10))
    whole = weekend(task("solder", 2 * H), up=up)
    split = weekend(task("code", 2 * H, splittable=True), up=up)
    assert span(replay(whole, as_listed(whole), nominal(whole)), "solder") == (2, 4)
    course = replay(split, as_listed(split), nominal(split))
    assert span(course, "code") == (0, 1)
    assert span(course, "code#2") == (2, 3)
    assert course.done_s["code"] == 3 * H


def test_what_takes_longer_than_likely_goes_on_after_the_pause() -> None:
    """Work planned to fit before lunch that does not is finished after it."""
    week = weekend(task("solder", H), up=hours((0, 1), (2, 10)))
    course = replay(week, as_listed(week), Scenario(seconds={"solder": (H + 600,)}))
    assert course.done_s["solder"] == 2 * H + 600


def test_a_failed_print_is_noticed_cleared_and_started_again() -> None:
    """Each failed attempt costs its share, the notice, and hands to clear and start again."""
    week = weekend(printing("lid", 2 * H))
    scenario = Scenario(seconds={"lid": (2 * H,)}, lost={"lid": (0.5, 0.25)})
    course = replay(week, as_listed(week), scenario)
    assert block(course, "lid@1").end_s == 10 * MIN + H + NOTICE_S
    assert block(course, "lid.restart@1").start_s == block(course, "lid@1").end_s
    assert block(course, "lid.restart@1").end_s == block(course, "lid@2").start_s
    again_s = NOTICE_S + 15 * MIN
    assert course.finish_s == 10 * MIN + (H + again_s) + (H // 2 + again_s) + 2 * H + 5 * MIN


def test_a_failed_cut_is_repeated_on_the_spot() -> None:
    """Whoever attends a cut starts it again at once."""
    week = weekend(cutting("plate", H))
    scenario = Scenario(seconds={"plate": (H,)}, lost={"plate": (0.5,)})
    course = replay(week, as_listed(week), scenario)
    assert course.finish_s == 30 * MIN + 10 * MIN + (H // 2 + 10 * MIN) + H + 5 * MIN


def gate() -> Weekend:
    """A test fit that may send the lid back."""
    return weekend(
        printing("lid", H),
        task("fit", 30 * MIN, after=("lid",), chance=0.2, redo=("lid",)),
        task("glue", 30 * MIN, after=("fit",)),
        task("code", 9 * H),
    )


@pytest.mark.parametrize(("rounds", "looks"), [(0, 1), (1, 2), (2, 3), (7, 3)])
def test_a_fault_wakes_the_next_round(rounds: int, looks: int) -> None:
    """The gate is done when a look finds nothing; each round prints and looks again."""
    week = gate()
    copies = {f"fit>{n}>lid": (H,) for n in (1, 2)} | {f"fit>{n}": (30 * MIN,) for n in (1, 2)}
    seconds = {**nominal(week).seconds, **copies}
    plan = Plan(order=("lid", "code", "fit", "glue"))
    course = replay(week, plan, Scenario(seconds=seconds, faults={"fit": rounds}))
    # Coding takes hands from 10 min to 9 h 10 min; then the lid is cleared and fitted.
    start_h = 10 / 60 + 9 + 5 / 60
    expected_h = start_h + looks * 0.5 + (looks - 1) * 1.25
    assert course.done_s["fit"] == pytest.approx(expected_h * H)
    assert course.done_s["glue"] == course.done_s["fit"] + 30 * MIN
    assert sum(b.kind is Kind.GATE for b in course.blocks) == looks


def test_what_a_gate_found_wrong_goes_before_the_plan() -> None:
    """A copy is started before anything the plan names, however urgent that is."""
    week = weekend(
        task("cut", 30 * MIN),
        task("fit", 30 * MIN, after=("cut",), chance=0.2, redo=("cut",)),
        task("urgent", H, after=("cut",)),
    )
    seconds = {**nominal(week).seconds, "fit>1>cut": (600,), "fit>1": (600,)}
    scenario = Scenario(seconds=seconds, faults={"fit": 1})
    course = replay(week, Plan(order=("cut", "fit", "urgent")), scenario)
    ends = [block(course, ident).end_s for ident in ("fit", "fit>1>cut", "fit>1", "urgent")]
    assert ends == sorted(ends)


def test_tending_goes_before_everything_else() -> None:
    """A machine that stands still is restarted first, then another cleared, then work goes on."""
    week = weekend(
        printing("a", H),
        printing("b", H, choices=(Choice("second", Spread.exactly(H)),)),
        task("long", 5 * H),
        task("more", H),
        machines={"second": "home"},
    )
    scenario = Scenario(
        seconds={"a": (H,), "b": (H,), "long": (5 * H,), "more": (H,)}, lost={"b": (0.5,)}
    )
    course = replay(week, as_listed(week), scenario)
    starts = [block(course, ident).start_s for ident in ("b.restart@1", "a.clear", "more")]
    assert starts == sorted(starts)
    assert starts[0] == block(course, "long").end_s


def test_of_two_machines_the_one_that_starts_earlier_is_taken() -> None:
    """The preferred machine goes first while both are free, the other when it is busy."""
    choices = (Choice("printer", Spread.exactly(H)), Choice("second", Spread.exactly(3 * H)))
    week = weekend(
        printing("a", choices=choices),
        printing("b", choices=choices),
        machines={"second": "home"},
    )
    course = replay(week, as_listed(week), nominal(week))
    assert block(course, "a").resource == "printer"
    assert block(course, "b").resource == "second"
    assert span(course, "b") == (2 / 6, 2 / 6 + 3)


def test_a_print_is_brought_from_the_machine_it_was_made_on() -> None:
    """The way of what comes after counts from the machine really used."""
    week = weekend(
        printing("lid", H, choices=(Choice("away", Spread.exactly(H)),)),
        task("glue", after=("lid",)),
        people=("ada", "bo"),
        machines={"away": "workshop"},
    )
    course = replay(week, as_listed(week), nominal(week))
    assert course.done_s["lid"] == 30 * MIN + 10 * MIN + H + 5 * MIN
    assert block(course, "glue").start_s == course.done_s["lid"] + 30 * MIN


def test_a_machine_starts_only_what_ends_before_its_quiet_hours() -> None:
    """A run has to fit into the hours of its machine by its likely time."""
    quiet = {"printer": hours((0, 3), (10, 20))}
    week = weekend(printing("lid", 2.9 * H), open_=quiet)
    course = replay(week, as_listed(week), nominal(week))
    assert span(course, "lid.start") == (10 - 1 / 6, 10)


def test_whoever_attends_keeps_to_the_hours_of_the_machine() -> None:
    """A cut lies within the machine's hours, hands and all."""
    week = weekend(cutting("plate", H), open_={"laser": hours((4, 5), (6, 8))})
    course = replay(week, as_listed(week), nominal(week))
    assert span(course, "plate") == (6, 7.25)


def test_two_people_share_the_work() -> None:
    """Whoever is free first takes the next; somebody idle is woken when work turns up."""
    week = weekend(
        task("a", H),
        task("b", 2 * H, after=("a",)),
        task("c", 2 * H, after=("a",)),
        people=("ada", "bo"),
    )
    course = replay(week, as_listed(week), nominal(week))
    assert block(course, "a").resource == "ada"
    assert {block(course, ident).resource for ident in ("b", "c")} == {"ada", "bo"}
    assert course.finish_s == 3 * H


def test_only_those_who_may_do_a_task() -> None:
    """A task waits for somebody on its list."""
    week = weekend(task("a", H), task("weld", H, people=("bo",)), people=("ada", "bo"))
    plan = Plan(order=("weld", "a"))
    course = replay(week, plan, nominal(week))
    assert block(course, "weld").resource == "bo"
    assert block(course, "a").resource == "ada"


def test_what_waits_for_something_dropped_does_not_wait() -> None:
    """A dropped activity counts as done from the beginning."""
    week = weekend(task("sand", needed=False), task("paint", after=("sand",)))
    plan = Plan(order=("paint",), dropped=frozenset({"sand"}))
    course = replay(week, plan, nominal(week))
    assert course.finish_s == H
    assert "sand" not in course.done_s


def test_what_is_optional_is_done_but_not_waited_for() -> None:
    """The finish is that of the last needed activity."""
    week = weekend(task("a", H), task("polish", 5 * H, needed=False))
    course = replay(week, as_listed(week), nominal(week))
    assert course.finish_s == H
    assert course.done_s["polish"] == 6 * H


def test_what_never_fits_is_never_done() -> None:
    """A finish that lies beyond the known hours is never."""
    week = weekend(task("a", 3 * H), task("b"), up=hours((0, 2), (3, 5)))
    course = replay(week, as_listed(week), nominal(week))
    assert course.finish_s == NEVER
    assert course.done_s == {"b": H}


def test_nothing_starts_before_it_may() -> None:
    """A delivery that comes at noon holds back what needs it, and nothing else."""
    week = weekend(task("wire", earliest_s=12 * H), task("code"))
    course = replay(week, as_listed(week), nominal(week))
    assert span(course, "code") == (0, 1)
    assert span(course, "wire") == (12, 13)


def test_a_run_without_clearing_is_done_with_its_machine() -> None:
    """Where no hands are needed to clear it, the machine is free as soon as it stops."""
    week = weekend(printing("a", H, clear_s=0), printing("b", H, clear_s=0))
    course = replay(week, as_listed(week), nominal(week))
    assert course.done_s["a"] == 10 * MIN + H
    assert block(course, "b.start").start_s == course.done_s["a"]


def going_on(left_s: int = 3 * H, **more: Any) -> Run:
    """A print that was started before and has so long to go."""
    return printing("lid", 5 * H, going=Going("printer", Spread.exactly(left_s)), **more)


def test_a_run_that_goes_on_needs_no_hands_until_it_stops() -> None:
    """It holds its machine from the beginning, is cleared as usual, and what follows waits for it."""
    week = weekend(printing("box", H), going_on(), task("glue", after=("lid",)))
    course = replay(week, as_listed(week), nominal(week))
    assert span(course, "lid") == (0, 3)
    assert block(course, "lid").reason.code is Why.GOES_ON
    assert block(course, "lid").resource == "printer"
    assert not any(b.id == "lid.start" for b in course.blocks)
    assert block(course, "lid.clear").start_s == 3 * H
    assert block(course, "box.start").start_s == block(course, "lid.clear").end_s
    assert block(course, "glue").start_s == block(course, "box.start").end_s
    assert block(course, "glue").needs == ("lid",)


def test_what_a_run_waited_for_matters_no_more_once_it_goes_on() -> None:
    """Neither its needs nor its hour hold back what has been started."""
    week = weekend(task("slice", 9 * H), going_on(after=("slice",), earliest_s=20 * H))
    course = replay(week, as_listed(week), nominal(week))
    assert span(course, "lid") == (0, 3)
    assert course.done_s["lid"] == 9 * H + 5 * MIN


def test_a_run_that_has_ended_only_waits_to_be_cleared() -> None:
    """With no time left there is no block of the machine, which is held all the same."""
    week = weekend(going_on(0), printing("box", H))
    course = replay(week, Plan(order=("box", "lid")), nominal(week))
    assert not any(b.kind is Kind.RUN and b.activity == "lid" for b in course.blocks)
    assert span(course, "lid.clear") == (0, 5 / 60)
    assert block(course, "box.start").start_s == 5 * MIN


def test_a_run_that_goes_on_and_fails_is_started_again_at_full_length() -> None:
    """The share lost is of the time left; the next attempt on the same machine takes it all."""
    week = weekend(going_on(2 * H))
    scenario = replace(nominal(week), lost={"lid": (0.5, 0.2)})
    course = replay(week, as_listed(week), scenario)
    assert span(course, "lid@1") == (0, (H + NOTICE_S) / H)
    again = block(course, "lid.restart@1")
    assert (again.start_s, again.end_s) == (H + NOTICE_S, H + NOTICE_S + 15 * MIN)
    assert block(course, "lid@2").end_s == again.end_s + H + NOTICE_S
    assert block(course, "lid").end_s - block(course, "lid").start_s == 5 * H


def test_a_run_that_goes_on_without_clearing_releases_what_waits() -> None:
    """Nobody need be up when a machine that clears itself stops."""
    week = weekend(
        printing("lid", going=Going("printer", Spread.exactly(2 * H)), clear_s=0),
        task("glue", after=("lid",)),
    )
    course = replay(week, as_listed(week), nominal(week))
    assert course.done_s == {"lid": 2 * H, "glue": 3 * H}


def test_what_goes_on_and_is_found_faulty_is_printed_anew() -> None:
    """A copy after a fault waits for its fault and is started like any other run."""
    week = weekend(going_on(H), task("fit", H, after=("lid",), chance=0.5, redo=("lid",)))
    likely = nominal(week)
    seconds = {**likely.seconds, "fit>1>lid": (5 * H,), "fit>1": (H,)}
    course = replay(week, as_listed(week), replace(likely, seconds=seconds, faults={"fit": 1}))
    copy = block(course, "fit>1>lid")
    assert copy.end_s - copy.start_s == 5 * H
    assert block(course, "fit>1>lid.start").start_s == block(course, "fit").end_s


def test_dropping_what_goes_on_frees_its_machine() -> None:
    """A run that is given up holds nothing back."""
    week = weekend(going_on(needed=False), printing("box", H))
    course = replay(week, Plan(order=("box",), dropped=frozenset({"lid"})), nominal(week))
    assert span(course, "box.start")[0] == 0


def test_somebody_begins_where_they_are() -> None:
    """Who is in the workshop cuts at once, and goes home for what is done there."""
    week = weekend(task("draw"), cutting("plate"))
    there = replace(week, hands=(replace(week.hands[0], at="workshop"),))
    course = replay(there, as_listed(there), nominal(there))
    assert span(course, "plate")[0] == 0
    assert block(course, "draw").start_s == block(course, "plate").end_s + 30 * MIN


def test_a_delivery_may_come_later_than_told() -> None:
    """What is late is added to the hour before which nothing starts; likely as nominal."""
    week = weekend(task("wire", earliest_s=12 * H, late=Spread(0, H, 5 * H)))
    assert span(replay(week, as_listed(week), nominal(week)), "wire") == (13, 14)
    scenario = replace(nominal(week), late={"wire": 3 * H})
    course = replay(week, as_listed(week), scenario)
    assert span(course, "wire") == (15, 16)
    assert block(course, "wire").reason.code is Why.EXPECTED


@pytest.mark.parametrize("more", [{"attended": True}, {"going": Going("laser", Spread(1, 2, 3))}])
def test_only_an_unattended_run_goes_on_and_where_it_could_have_been_started(
    more: dict[str, Any],
) -> None:
    """A record that contradicts itself cannot be made."""
    with pytest.raises(ValueError, match="goes on"):
        replace(going_on(), **more)


def test_nobody_does_nothing() -> None:
    """Without anybody nothing is done, and without needed activities nothing has to be."""
    week = weekend(task("a"), people=())
    assert replay(week, as_listed(week), nominal(week)).finish_s == NEVER
    assert replay(weekend(), Plan(order=()), nominal(weekend())).finish_s == 0


def test_the_beginning_of_a_print_is_watched() -> None:
    """Hands stay while the machine runs already; what is shorter is watched to its end."""
    for watch_s, stays_s in ((20 * MIN, 20 * MIN), (9 * H, 2 * H)):
        week = weekend(printing("lid", 2 * H, watch_s=watch_s), task("wire", H))
        course = replay(week, as_listed(week), nominal(week))
        assert span(course, "lid.start") == pytest.approx((0, (10 * MIN + stays_s) / H))
        assert span(course, "lid") == pytest.approx((1 / 6, 1 / 6 + 2))
        assert span(course, "wire")[0] * H >= 10 * MIN + stays_s - 1
        assert check(week, as_listed(week), course) == ()


def test_what_fails_while_it_is_watched_is_noticed_at_the_end_of_the_watch() -> None:
    """The other failures are noticed as ever."""
    week = weekend(printing("lid", 2 * H, watch_s=20 * MIN))
    for share, noticed_s in ((0.0, 30 * MIN), (0.5, 10 * MIN + H + NOTICE_S)):
        scenario = replace(nominal(week), lost={"lid": (share,)})
        course = replay(week, as_listed(week), scenario)
        assert span(course, "lid@1")[1] * H == pytest.approx(noticed_s)
        assert span(course, "lid.restart@1")[1] * H == pytest.approx(noticed_s + 35 * MIN)


def test_nobody_starts_a_print_they_could_not_watch() -> None:
    """The start and the watch have to fit before the pause, in one piece."""
    week = weekend(printing("lid", 2 * H, watch_s=H), up=hours((0, 1), (3, 9)))
    course = replay(week, as_listed(week), nominal(week))
    assert span(course, "lid.start") == pytest.approx((3, 4 + 1 / 6))


def travelled(course: Course) -> list[tuple[float, float]]:
    """Ways in hours."""
    return [(b.start_s / H, b.end_s / H) for b in course.blocks if b.kind is Kind.TRAVEL]


def test_whoever_starts_a_print_that_needs_somebody_near_goes_nowhere() -> None:
    """They work at home, sleep at home, and set out when it is over."""
    week = weekend(
        printing("lid", 5 * H, stays=True, clear_s=0),
        cutting("plate"),
        task("wire", H),
        up=hours((0, 3), (4, 20)),
    )
    course = replay(week, as_listed(week), nominal(week))
    over = span(course, "lid")[1]
    assert over == pytest.approx(5 + 1 / 6)
    assert min(start for start, _ in travelled(course)) == over
    assert span(course, "wire")[0] < over
    assert check(week, as_listed(week), course) == ()
    free = replace(week, activities=(printing("lid", 5 * H), *week.activities[1:]))
    assert min(start for start, _ in travelled(replay(free, as_listed(free), nominal(free)))) < over


def test_a_print_that_failed_lets_them_leave_when_that_is_found() -> None:
    """Nobody knows before; then it is started again, by whoever is there, who stays again."""
    week = weekend(printing("lid", 5 * H, stays=True, clear_s=0), cutting("plate"))
    scenario = replace(nominal(week), lost={"lid": (0.5,)})
    course = replay(week, as_listed(week), scenario)
    again = span(course, "lid.restart@1")
    assert again[0] * H == pytest.approx(10 * MIN + 2.5 * H + NOTICE_S)
    assert travelled(course)[0][0] == span(course, "lid")[1]


def test_who_has_no_time_to_stay_does_not_start_it() -> None:
    """Where one is not at home, one stays awake; a calendar that calls one away is in the way too."""
    away = weekend(printing("lid", 5 * H, stays=True))
    (ada,) = away.hands
    away = replace(away, hands=(replace(ada, away=hours((3, 6))),))
    assert span(replay(away, as_listed(away), nominal(away)), "lid.start")[0] == 6 - 1 / 6
    lab = weekend(
        printing("lid", 5 * H, stays=True),
        up=hours((0, 3), (4, 20)),
        machines={"printer": "workshop"},
    )
    assert span(replay(lab, as_listed(lab), nominal(lab)), "lid.start")[0] >= 4


def test_somebody_else_may_go_meanwhile() -> None:
    """Only whoever started it stays."""
    week = weekend(printing("lid", 5 * H, stays=True), cutting("plate"), people=("ada", "bo"))
    course = replay(week, as_listed(week), nominal(week))
    starter = block(course, "lid.start").resource
    gone = {b.resource for b in course.blocks if b.kind is Kind.TRAVEL}
    assert gone == {"ada", "bo"} - {starter}
    assert check(week, as_listed(week), course) == ()


def test_what_goes_on_keeps_whoever_started_it() -> None:
    """Until it is over, as from the beginning; nobody is kept if it is not known who that was."""
    for by, leaves_h in (("ada", 2.0), ("", 0.0)):
        run = printing("lid", 5 * H, stays=True, clear_s=0)
        run = replace(run, going=Going("printer", Spread.exactly(2 * H), by=by))
        week = weekend(run, cutting("plate"))
        course = replay(week, as_listed(week), nominal(week))
        assert travelled(course)[0][0] == leaves_h
        assert check(week, as_listed(week), course) == ()
