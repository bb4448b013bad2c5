"""What hands do, in words."""

from fabsched.model.plan import Answer, Block, Course, Kind, Odds, Plan, Solver
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Hands, Site, Station, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.remedies import clear_id, clearing_of
from fabsched.session.deeds import bare_words

ALWAYS = Windows.of(((0, 9 * HOUR_S),))


def test_clearing_what_failed_names_its_machine() -> None:
    """No run is left in the plan, yet whoever clears it away is told where it lies."""
    weekend = Weekend(
        zone="UTC",
        begin_s=0,
        deadline_s=8 * HOUR_S,
        horizon_s=9 * HOUR_S,
        hands=(Hands(id="me", name="Me", base="home", windows=ALWAYS),),
        sites=(Site(id="home", name="Home", windows=ALWAYS),),
        stations=(Station(id="mill", name="Printer", place="home", windows=ALWAYS),),
        activities=(clearing_of("mill", "Lid", 300),),
    )
    clearing = Block(
        id=f"{clear_id('mill')}.clear",
        activity=clear_id("mill"),
        kind=Kind.TEND,
        what="Lid",
        resource="me",
        place="home",
        start_s=0,
        end_s=300,
    )
    answer = Answer(
        plan=Plan(order=()),
        course=Course(blocks=(clearing,), done_s={}, finish_s=300),
        odds=Odds(on_time=1, standard_error=0, p10_s=1, p50_s=1, p90_s=1, scenarios=1),
        solver=Solver(status="optimal", bound_s=None, gap=None),
        method="none",
    )
    assert bare_words(weekend, answer).deed(clearing) == "Take Lid off Printer and clear it"
