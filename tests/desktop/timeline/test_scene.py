"""What is on the timeline."""

from dataclasses import replace

from fabsched.desktop.timeline.scene import LaneKind, Shut, scene
from fabsched.model.plan import Kind
from fabsched.model.windows import NEVER
from tests.desktop import made

SHOWN = scene(made.weekend(), made.answer())


def test_every_machine_and_person_has_a_lane() -> None:
    """Machines come first, then people, each with its name and place."""
    assert [(lane.id, lane.kind, lane.note) for lane in SHOWN.lanes] == [
        ("large", LaneKind.MACHINE, "Home"),
        ("small", LaneKind.MACHINE, "Home"),
        ("laser", LaneKind.MACHINE, "Harbour workshop"),
        ("mira", LaneKind.PERSON, "Home"),
    ]


def test_every_block_lies_in_the_lane_of_its_resource() -> None:
    """No block is lost, none is doubled, and each is in its own lane in order of start."""
    found = [block for lane in SHOWN.lanes for block in lane.blocks]
    assert sorted(block.id for block in found) == sorted(block.id for block in made.blocks())
    for lane in SHOWN.lanes:
        assert {block.resource for block in lane.blocks} <= {lane.id}
        assert list(lane.blocks) == sorted(lane.blocks, key=lambda block: block.start_s)


def test_closed_hours_and_open_hours_share_the_weekend() -> None:
    """A person's shades are exactly the time that person is not free."""
    hands = made.weekend().hands[0]
    (lane,) = (lane for lane in SHOWN.lanes if lane.id == "mira")
    spans = tuple((shade.start_s, shade.end_s) for shade in lane.shades)
    assert spans == hands.windows.closed_within(made.BEGIN, made.HORIZON).spans
    assert {shade.why for shade in lane.shades} == {Shut.OFF}


def test_quiet_hours_are_told_from_a_closed_place() -> None:
    """The printer at home is quiet at night; the laser's workshop is closed."""
    small, laser = SHOWN.lanes[1], SHOWN.lanes[2]
    assert {shade.why for shade in small.shades} == {Shut.QUIET}
    assert {shade.why for shade in laser.shades} == {Shut.CLOSED}
    assert (small.shades[0].start_s, small.shades[0].end_s) == (made.at(13, 22), made.at(14, 7))


def test_a_machine_is_held_from_setting_up_until_it_is_cleared() -> None:
    """Before a run hands set it up, after it the machine waits until they have cleared it."""
    large = SHOWN.lanes[0]
    before, after = (hold for hold in large.holds if hold.activity == "louvres")
    assert (before.start_s, before.end_s, before.clearing) == (
        made.at(13, 18),
        made.at(13, 18, 10),
        False,
    )
    assert (after.start_s, after.end_s, after.clearing) == (
        made.at(14, 6, 35),
        made.at(14, 8, 6),
        True,
    )


def test_threads_join_hands_to_the_machine_they_touch() -> None:
    """Every tending is joined to its machine, inside the tending; an attended run at its start."""
    tends = {block.id: block for block in made.blocks() if block.kind is Kind.TEND}
    assert sorted(thread.block for thread in SHOWN.threads) == sorted(tends)
    for thread in SHOWN.threads:
        tend = tends[thread.block]
        assert tend.start_s <= thread.moment_s <= tend.end_s
        assert SHOWN.lanes[thread.machine].kind is LaneKind.MACHINE
        assert SHOWN.lanes[thread.hands].id == tend.resource


def test_what_is_shown_holds_everything_worth_seeing() -> None:
    """Beginning, deadline, every block and the 90 % point lie in view."""
    first_s, last_s = SHOWN.shown_s
    odds = made.answer().odds
    assert odds.p90_s is not None
    moments = [made.BEGIN, made.DEADLINE, odds.p90_s]
    moments += [moment for block in made.blocks() for moment in (block.start_s, block.end_s)]
    assert all(first_s < moment < last_s for moment in moments)


def test_a_finish_that_never_comes_is_none() -> None:
    """A course that does not end within the horizon has no finish, and still a view."""
    answer = made.answer()
    course = replace(answer.course, finish_s=NEVER)
    odds = replace(answer.odds, p10_s=None, p50_s=None, p90_s=None, finishes_s=())
    shown = scene(made.weekend(), replace(answer, course=course, odds=odds))
    assert shown.finish_s is None
    assert shown.shown_s[1] < made.HORIZON


def test_blocks_are_found_by_their_id() -> None:
    """A block and its lane are found by id; unknown ids find nothing."""
    block = SHOWN.block("plates")
    assert block is not None
    assert SHOWN.lane_of("plates") == 2
    assert SHOWN.block("nothing") is None
    assert SHOWN.lane_of("nothing") is None
