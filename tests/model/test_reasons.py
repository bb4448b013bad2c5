"""Why each block starts when it does."""

import tomllib
from dataclasses import replace
from pathlib import Path
from string import Formatter

import pytest
from hypothesis import given, settings

from fabsched.model.plan import Course, Plan, Reason, Why
from fabsched.model.replay import replay
from fabsched.model.scenario import Scenario, nominal
from fabsched.model.spread import Spread
from fabsched.model.weekend import Bound, Going, Weekend
from tests.model.made import MIN, H, as_listed, block, cutting, hours, printing, task, weekend
from tests.model.weekends import planned


def told(course: Course, ident: str) -> tuple[Why, dict[str, object]]:
    """Code and facts of the reason of a block."""
    reason = block(course, ident).reason
    return reason.code, dict(reason.facts)


def said(course: Course, ident: str) -> str:
    """The reason of a block in English, filled from the wording table."""
    reason = block(course, ident).reason
    return _text(reason)


def _text(reason: Reason) -> str:
    facts = dict(reason.facts)
    doing = DOINGS[reason.doing].format_map(facts) if reason.doing else ""
    text = WORDS[reason.code].format_map({**facts, "doing": doing})
    return f"{text}; {_text(reason.cause)}" if reason.cause else text


def nominally(week: Weekend) -> Course:
    """The nominal course of the plan that follows the list."""
    return replay(week, as_listed(week), nominal(week))


def test_a_day_is_explained() -> None:
    """Starting, working beside the machine, clearing and going on each have their own reason."""
    course = nominally(
        weekend(printing("lid"), task("code", H), printing("box"), task("end", 9 * H))
    )
    assert told(course, "lid.start") == (Why.FIRST, {})
    assert told(course, "lid") == (Why.BEGUN, {"who": "Ada"})
    assert told(course, "code") == (Why.HANDS, {"who": "Ada", "what": "Lid"})
    assert told(course, "end") == (Why.HANDS, {"who": "Ada", "what": "Code"})
    assert told(course, "lid.clear") == (Why.HANDS, {"who": "Ada", "what": "End"})
    assert told(course, "box.start") == (Why.MACHINE, {"machine": "Printer", "what": "Lid"})
    assert told(course, "box.clear") == (Why.STARTED, {"what": "Box"})


def test_what_lies_on_a_bed_from_before_is_waited_for_no_longer() -> None:
    """A run that ended before the plan begins only has to be cleared: nothing is left to finish."""
    lid = printing("lid")
    machine = lid.choices[0].machine
    for left_s, wanted in ((0, (Why.FIRST, {})), (H, (Why.STARTED, {"what": "Lid"}))):
        going = replace(lid, going=Going(machine, Spread.exactly(left_s)))
        assert told(nominally(weekend(going)), "lid.clear") == wanted


def test_of_several_needs_the_last_is_told() -> None:
    """What a block waited for is the need that was met last."""
    week = weekend(
        task("a", H), task("b", 2 * H), task("c", after=("a", "b")), people=("ada", "bo")
    )
    assert told(nominally(week), "c") == (Why.AFTER, {"what": "B"})


@pytest.mark.parametrize(
    ("what", "reason"),
    [
        ("workshop", (Why.OPENS, {"what": "Workshop"})),
        ("laser", (Why.MAY_RUN, {"machine": "Laser"})),
    ],
)
def test_what_opens_is_told(what: str, reason: tuple[Why, dict[str, object]]) -> None:
    """A block that starts with an opening names the place or the machine that opens."""
    week = weekend(cutting("plate", 2 * H), open_={what: hours((6, 9))})
    assert told(nominally(week), "plate") == reason


def test_going_on_after_a_pause_is_told() -> None:
    """Only the first stretch of work that is laid down waits for something."""
    week = weekend(task("code", 2 * H, splittable=True), up=hours((1, 2), (5, 9)))
    course = nominally(week)
    assert told(course, "code") == (Why.UP, {"who": "Ada"})
    assert told(course, "code#2") == (Why.RESUMED, {"what": "Code"})


def test_who_gets_up_is_told() -> None:
    """Work, or a way, that begins with somebody's day names them."""
    up = hours((5, 9))
    at_home = nominally(weekend(task("a"), up=up))
    away = nominally(weekend(cutting("plate", 2 * H), up=up))
    assert told(at_home, "a") == (Why.UP, {"who": "Ada"})
    assert block(away, "plate").start_s == 5 * H + 30 * MIN
    assert told(away, "plate") == (Why.UP_THEN_WAY, {"who": "Ada"})
    assert said(away, "ada.travel.1") == "needed there for Plate; Ada is not free before then"


def test_a_stretch_that_is_long_enough_is_told() -> None:
    """What was open before, but not for long enough, is told as such."""
    week = weekend(task("solder", 2 * H), up=hours((0, 1), (2, 10)))
    assert told(nominally(week), "solder") == (Why.FITS_WHO, {"who": "Ada", "minutes": 120})
    shut = weekend(task("solder", 2 * H), open_={"home": hours((0, 1), (2, 10))})
    assert told(nominally(shut), "solder") == (Why.FITS_PLACE, {"what": "Home", "minutes": 120})
    both = weekend(task("solder", 2 * H), up=hours((0, 3), (4, 10)), open_={"home": hours((2, 20))})
    assert told(nominally(both), "solder") == (Why.FITS, {"minutes": 120})


def test_a_run_that_waits_out_quiet_hours_is_told() -> None:
    """The machine is named, with the time it will run alone."""
    week = weekend(printing("lid", 2 * H), open_={"printer": hours((0, 1), (2, 10))})
    assert told(nominally(week), "lid.start") == (
        Why.FITS_MACHINE,
        {"machine": "Printer", "minutes": 120},
    )


def test_a_set_hour_is_told() -> None:
    """What may not start before an hour says whose hour that is."""
    codes = {
        Bound.SET: Why.EARLIEST,
        Bound.BEGIN: Why.BEGINS,
        Bound.PIN: Why.PINNED,
        Bound.TOLD: Why.PUT_OFF,
        Bound.ORDER: Why.TO_ORDER,
    }
    for bound in Bound:
        week = weekend(task("wire", earliest_s=H, bound=bound))
        assert told(nominally(week), "wire") == (codes[bound], {})


def test_what_is_likely_late_is_told_as_expected() -> None:
    """A delivery that comes later than its hour is no set hour any more."""
    week = weekend(task("wire", earliest_s=H, late=Spread(0, H, 2 * H)))
    assert block(nominally(week), "wire").start_s == 2 * H
    assert told(nominally(week), "wire") == (Why.EXPECTED, {})


def test_ways_are_told() -> None:
    """A way there names what one is needed for and why not before, a way back the place."""
    week = weekend(cutting("plate"), cutting("more", earliest_s=20 * H))
    course = nominally(week)
    assert told(course, "ada.travel.1") == (Why.NEEDED_THERE, {"what": "Plate"})
    assert told(course, "ada.travel.2") == (Why.GOES_BACK, {"what": "Home"})
    assert told(course, "plate") == (Why.FIRST_THEN_WAY, {})


def test_a_way_is_not_called_being_busy() -> None:
    """Who had to finish something else and then to travel is told to have done both."""
    course = nominally(weekend(task("code", H), cutting("plate")))
    assert block(course, "plate").start_s > block(course, "code").end_s
    assert told(course, "plate") == (Why.HANDS_THEN_WAY, {"who": "Ada", "what": "Code"})
    assert said(course, "plate") == "Ada is busy with Code first, then on the way"
    assert (
        said(course, "ada.travel.1") == "needed there for Plate; Ada is busy with Code until then"
    )


def test_who_tends_a_machine_is_not_called_busy_with_what_it_makes() -> None:
    """Hands that start, clear or stay with a run say so: the run itself goes on without them."""
    week = weekend(printing("lid"), task("code", 3 * H), printing("box"), task("end", H))
    course = nominally(week)
    assert said(course, "code") == "Ada is starting Lid until then"
    assert said(course, "end") == "Ada is starting Box until then"
    away = nominally(weekend(cutting("plate"), task("paint", H, place="workshop")))
    assert said(away, "paint") == "Ada is at the machine with Plate until then"


def test_one_is_there_in_time_for_what_opens() -> None:
    """A way that ends as a place opens is not held back by anything."""
    week = weekend(cutting("plate"), open_={"workshop": hours((6, 9))})
    course = nominally(week)
    assert block(course, "ada.travel.1").end_s == 6 * H
    assert said(course, "ada.travel.1") == "to be there in time for Plate"
    assert told(course, "plate") == (Why.OPENS, {"what": "Workshop"})


def test_setbacks_are_told() -> None:
    """A restart names the run that failed, a copy the gate that found a fault."""
    week = weekend(
        printing("lid", H), task("fit", 30 * MIN, after=("lid",), chance=0.1, redo=("lid",))
    )
    seconds = {**nominal(week).seconds, "fit>1>lid": (H,), "fit>1": (600,)}
    scenario = Scenario(seconds=seconds, lost={"lid": (0.5,)}, faults={"fit": 1})
    course = replay(week, as_listed(week), scenario)
    assert told(course, "lid.restart@1") == (Why.FAILED, {"what": "Lid"})
    assert told(course, "fit>1>lid.start") == (Why.FOUND, {"what": "Fit"})
    assert told(course, "fit>1") == (Why.AFTER, {"what": "Lid"})


TABLE = tomllib.loads((Path(__file__).parents[2] / "resources/wording/en.toml").read_text("utf-8"))
WORDS, DOINGS = TABLE["why"], TABLE["doing"]


def test_every_reason_has_its_words() -> None:
    """The wording table holds a template for each code, and no other."""
    assert set(WORDS) == set(Why)


@settings(max_examples=60)
@given(planned())
def test_reasons_give_the_facts_their_words_ask_for(case: tuple[Weekend, Plan]) -> None:
    """Every template can be filled from the facts of any reason given, and needs all of them."""
    course = replay(*case, nominal(case[0]))
    for each in course.blocks:
        for reason in filter(None, (each.reason, each.reason.cause)):
            asked = _names(WORDS[reason.code])
            if "doing" in asked:
                assert reason.doing
                asked = asked - {"doing"} | _names(DOINGS[reason.doing])
            assert asked == set(reason.facts)


def _names(template: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(template) if name}


def test_it_is_told_that_somebody_has_to_stay_near_a_print() -> None:
    """A way waits for the print they could not leave; a print for time to stay near it."""
    course = nominally(weekend(printing("lid", 5 * H, stays=True, clear_s=0), cutting("plate")))
    assert said(course, "plate") == "Ada is staying near Lid while it runs first, then on the way"
    lab = weekend(
        printing("lid", 5 * H, stays=True),
        up=hours((0, 3), (4, 20)),
        machines={"printer": "home"},
    )
    called = replace(lab, hands=(replace(lab.hands[0], away=hours((3, 6))),))
    assert told(nominally(called), "lid.start") == (
        Why.FITS_STAY,
        {"who": "Ada", "what": "Home", "minutes": 300},
    )
