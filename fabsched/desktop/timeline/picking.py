"""Which block is meant: by the pointer, or by a key that goes on from another block. No Qt here."""

from fabsched.desktop.timeline.geometry import Frame, Scale
from fabsched.desktop.timeline.scene import Lane, Scene, Shade
from fabsched.model.plan import Block

SLACK_PX = 3.0
"""How far beside a block the pointer still means it."""


def block_at(scene: Scene, frame: Frame, scale: Scale, x: float, y: float) -> Block | None:
    """The block under a point; of several narrow ones, the one whose middle is nearest."""
    index = frame.lane_at(y)
    if index is None or x < scale.left_px:
        return None
    moment_s, slack_s = scale.moment_s(x), SLACK_PX / scale.px_s
    near = [
        block
        for block in scene.lanes[index].blocks
        if block.start_s - slack_s <= moment_s <= block.end_s + slack_s
    ]
    return min(near, key=lambda block: _far_s(block, moment_s), default=None)


def _far_s(block: Block, moment_s: float) -> tuple[bool, float]:
    """Blocks that hold the moment come before those that only are near it."""
    inside = block.start_s <= moment_s <= block.end_s
    return not inside, abs(moment_s - (block.start_s + block.end_s) / 2)


def shade_at(
    scene: Scene, frame: Frame, scale: Scale, x: float, y: float
) -> tuple[Lane, Shade] | None:
    """The closed hours under a point, with their lane."""
    index = frame.lane_at(y)
    if index is None or x < scale.left_px:
        return None
    moment_s, lane = scale.moment_s(x), scene.lanes[index]
    found = (shade for shade in lane.shades if shade.start_s <= moment_s < shade.end_s)
    return next(((lane, shade) for shade in found), None)


def next_block(scene: Scene, ident: str, step: int) -> Block | None:
    """The block before (-1) or after (+1) another one in its lane; the first of all without one.

    At the end of the lane it is the block itself.
    """
    index = scene.lane_of(ident)
    if index is None:
        return first_block(scene)
    blocks = scene.lanes[index].blocks
    place = next(i for i, block in enumerate(blocks) if block.id == ident)
    return blocks[min(max(place + step, 0), len(blocks) - 1)]


def next_lane(scene: Scene, ident: str, step: int) -> Block | None:
    """The block nearest in time in the next lane above (-1) or below (+1) that has any."""
    index, block = scene.lane_of(ident), scene.block(ident)
    if index is None or block is None:
        return first_block(scene)
    middle_s = (block.start_s + block.end_s) / 2
    while 0 <= (index := index + step) < len(scene.lanes):
        if blocks := scene.lanes[index].blocks:
            return min(blocks, key=lambda other: _far_s(other, middle_s))
    return block


def first_block(scene: Scene) -> Block | None:
    """The first block of the first lane that has any."""
    return next((lane.blocks[0] for lane in scene.lanes if lane.blocks), None)
