"""A timeline with as many blocks as one wants, for tests and benchmarks of its drawing."""

from dataclasses import replace

from fabsched.desktop.timeline.scene import Scene, scene
from fabsched.model.plan import Block, Kind
from tests.desktop import made

KINDS = (Kind.WORK, Kind.TEND, Kind.GATE, Kind.TRAVEL)


def crowded(count: int) -> Scene:
    """So many blocks on the lanes of the made-up weekend."""
    weekend, answer = made.weekend(), made.answer()
    machines = [station.id for station in weekend.stations]
    lanes = [*machines, *(hands.id for hands in weekend.hands)]
    step_s = (made.DEADLINE - made.BEGIN) // (count // len(lanes))
    blocks = [
        Block(
            id=f"{lane}.{i}",
            activity=f"{lane}.{i}",
            kind=Kind.RUN if lane in machines else KINDS[i % len(KINDS)],
            what=f"Thing number {i}",
            resource=lane,
            place="home",
            start_s=made.BEGIN + i * step_s,
            end_s=made.BEGIN + i * step_s + step_s * 4 // 5,
            attended=i % 3 == 0,
        )
        for lane in lanes
        for i in range(count // len(lanes))
    ]
    course = replace(answer.course, blocks=tuple(sorted(blocks, key=lambda b: b.start_s)))
    return scene(weekend, replace(answer, course=course))
