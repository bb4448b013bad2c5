"""What is to be done now, and what next. No Qt here."""

from collections.abc import Iterator
from dataclasses import dataclass

from fabsched.desktop.timeline.scene import LaneKind, Scene
from fabsched.desktop.timeline.steps import Step
from fabsched.model.plan import Kind
from fabsched.model.state import State


@dataclass(frozen=True, slots=True)
class Doing:
    """What hands and machines are at.

    Attributes:
        hands: what each person is to do now, or should have begun; in order of lanes.
        machines: what runs alone.
        then: what hands do next; None if nothing.
    """

    hands: tuple[Step, ...]
    machines: tuple[Step, ...]
    then: Step | None


def doing(scene: Scene, state: State, now_s: int) -> Doing:
    """What is done at a moment; a plan is made anew whenever something is told, so that all of it is open.

    Args:
        scene: the plan.
        state: what was told.
        now_s: the moment.
    """
    left = [_left(scene, lane.id, now_s) for lane in scene.lanes if lane.kind is LaneKind.PERSON]
    now = [steps[0] for steps in left if steps and steps[0].block.start_s <= now_s]
    after = [step for steps in left for step in steps if step.block.start_s > now_s]
    then = min(after, key=lambda step: step.block.start_s, default=None)
    return Doing(tuple(now), tuple(_alone(scene, state)), then)


def _left(scene: Scene, lane: str, now_s: int) -> list[Step]:
    """What somebody has still to do; of ways nobody tells, so that they are over when they are."""
    return [
        step
        for step in scene.steps
        if step.block.resource == lane
        and step.block.id not in scene.past
        and not (step.block.kind is Kind.TRAVEL and step.block.end_s <= now_s)
    ]


def _alone(scene: Scene, state: State) -> Iterator[Step]:
    """What runs without hands, and was told to have been started."""
    for step in scene.steps:
        block = step.block
        alone = block.kind is Kind.RUN and not block.attended and block.id not in scene.past
        if alone and block.activity in state.going:
            yield step


def hands_between(scene: Scene, after_s: int, until_s: int) -> tuple[Step, ...]:
    """What needs hands and starts after one moment, up to another."""
    people = {lane.id for lane in scene.lanes if lane.kind is LaneKind.PERSON}
    return tuple(
        step
        for step in scene.steps
        if step.block.resource in people
        and step.block.id not in scene.past
        and after_s < step.block.start_s <= until_s
    )


def next_hands_s(scene: Scene, after_s: int) -> int | None:
    """When hands are needed next."""
    found = hands_between(scene, after_s, scene.horizon_s)
    return min((step.block.start_s for step in found), default=None)
