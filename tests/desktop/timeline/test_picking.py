"""Which block is meant."""

from fabsched.desktop.timeline.geometry import Frame, Scale, Sizes
from fabsched.desktop.timeline.picking import (
    block_at,
    first_block,
    next_block,
    next_lane,
    shade_at,
)
from fabsched.desktop.timeline.scene import scene
from fabsched.model.units import HOUR_S
from tests.desktop import made

SHOWN = scene(made.weekend(), made.answer())
SCALE = Scale(start_s=made.BEGIN - HOUR_S, left_px=120, width_px=880, span_s=55 * HOUR_S)
FRAME = Frame(sizes=Sizes(line=17, small=14, pad=6, gutter=120), lanes=4, width_px=1000)


def test_every_block_is_found_at_its_middle() -> None:
    """Pointing at the middle of any block, however short, means that block."""
    for index, lane in enumerate(SHOWN.lanes):
        y = FRAME.lane(index).y + FRAME.lane(index).h / 2
        for block in lane.blocks:
            x = SCALE.x((block.start_s + block.end_s) / 2)
            found = block_at(SHOWN, FRAME, SCALE, x, y)
            assert found is not None
            assert found.id == block.id


def test_beside_the_blocks_there_is_nothing() -> None:
    """Scale, names, free stretches and the strip of finishes hold no block."""
    lane = FRAME.lane(2).y + 10
    assert block_at(SHOWN, FRAME, SCALE, SCALE.x(made.at(14, 15)), lane) is None
    assert block_at(SHOWN, FRAME, SCALE, 50, FRAME.lane(0).y + 10) is None
    assert block_at(SHOWN, FRAME, SCALE, 500, 5) is None
    assert block_at(SHOWN, FRAME, SCALE, 500, FRAME.finish.y + 5) is None


def test_closed_hours_are_found_with_their_lane() -> None:
    """Pointing into a night of the workshop finds that it is closed; at open hours nothing."""
    y = FRAME.lane(2).y + 10
    found = shade_at(SHOWN, FRAME, SCALE, SCALE.x(made.at(13, 23)), y)
    assert found is not None
    lane, shade = found
    assert lane.id == "laser"
    assert shade.start_s <= made.at(13, 23) < shade.end_s
    assert shade_at(SHOWN, FRAME, SCALE, SCALE.x(made.at(14, 12)), y) is None
    assert shade_at(SHOWN, FRAME, SCALE, 10, y) is None


def test_keys_walk_through_a_lane_and_stop_at_its_ends() -> None:
    """Going on from the first block visits every block of the lane in order."""
    lane = SHOWN.lanes[3]
    walked, ident = [lane.blocks[0].id], lane.blocks[0].id
    for _ in lane.blocks:
        block = next_block(SHOWN, ident, 1)
        assert block is not None
        ident = block.id
        walked.append(ident)
    assert walked[:-1] == [block.id for block in lane.blocks]
    assert walked[-1] == walked[-2]
    back = next_block(SHOWN, lane.blocks[0].id, -1)
    assert back == lane.blocks[0]


def test_keys_go_to_the_nearest_block_of_the_next_lane() -> None:
    """Down from the overnight print lies what runs on the small printer then; above is nothing."""
    below = next_lane(SHOWN, "funnel", 1)
    assert below is not None
    assert below.id == "spare"
    top = next_lane(SHOWN, "louvres", -1)
    assert top is not None
    assert top.id == "louvres"


def test_without_a_block_keys_start_at_the_first() -> None:
    """The first key press means the first block of the first lane."""
    first = first_block(SHOWN)
    assert first is not None
    assert first == next_block(SHOWN, "", 1) == next_lane(SHOWN, "", 1)
    assert first.id == "louvres"
