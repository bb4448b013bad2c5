"""What has happened, on the timeline."""

from dataclasses import replace

from fabsched.desktop.timeline.past import past_of
from fabsched.desktop.timeline.scene import scene
from fabsched.model.log import Entry, Event, Meant, Sort
from fabsched.model.plan import Kind, Why
from fabsched.model.state import state_of
from tests.desktop import made

LID = Meant(name="Lid", sort=Sort.RUN, machine="large", person="mira", place="home")
SOLDER = Meant(name="Solder", sort=Sort.WORK, person="mira", place="home")


def entry(kind: Event, subject: str, meant: Meant, minutes: int, ident: int) -> Entry:
    """Something told so many minutes after the beginning."""
    at_s = made.BEGIN + 60 * minutes
    return Entry(kind=kind, moment_s=at_s, noted_s=at_s, subject=subject, meant=meant, id=ident)


STATE = state_of(
    (
        entry(Event.STARTED, "lid", LID, 10, 1),
        entry(Event.FAILED, "lid", LID, 100, 2),
        entry(Event.STARTED, "solder", SOLDER, 20, 3),
    )
)
LATER = replace(made.weekend(), begin_s=made.BEGIN + 7200)


def test_everything_told_lies_where_it_happened() -> None:
    """The failed run ends when it failed, on its machine; what goes on is cut off where the plan begins."""
    lid, solder = past_of(STATE, LATER)
    assert (lid.block.resource, lid.block.kind) == ("large", Kind.RUN)
    assert (lid.block.start_s, lid.block.end_s) == (made.BEGIN + 600, made.BEGIN + 6000)
    assert lid.in_vain
    assert lid.block.reason.code is Why.TOLD
    assert (solder.block.resource, solder.block.end_s) == ("mira", LATER.begin_s)
    assert solder.outcome is None


def test_the_scene_holds_the_past_and_the_plan() -> None:
    """Blocks of both lie in their lanes in order of start, and the whole of it is worth seeing."""
    past = past_of(STATE, LATER)
    shown = scene(LATER, made.answer(), past)
    (lane,) = (lane for lane in shown.lanes if lane.id == "large")
    assert past[0].block in lane.blocks
    assert list(lane.blocks) == sorted(lane.blocks, key=lambda b: (b.start_s, b.end_s, b.id))
    assert set(shown.past) == {each.block.id for each in past}
    assert shown.shown_s[0] <= made.BEGIN + 600
    assert {each.block.id for each in past} <= set(shown.numbers)


def test_without_people_nothing_is_put_into_hands() -> None:
    """Work whose lane is not there is left out rather than shown elsewhere."""
    assert [p.block.resource for p in past_of(STATE, replace(LATER, hands=()))] == ["large"]
