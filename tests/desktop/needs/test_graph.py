"""Where things stand in the picture of what waits for what."""

from datetime import datetime
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from fabsched.desktop.needs.graph import graph_of
from fabsched.desktop.needs.layers import Joint
from fabsched.model.project import Project, Work
from fabsched.model.spread import Spread

ZONE = ZoneInfo("UTC")


def project(waits: list[set[int]]) -> Project:
    """Work that waits for work listed before it."""
    works = tuple(
        Work(
            id=f"w{i}",
            name=f"Work {i}",
            minutes=Spread(1, 2, 3),
            after=tuple(f"w{j}" for j in sorted(before) if j < i),
        )
        for i, before in enumerate(waits)
    )
    deadline = datetime(2027, 3, 7, 21, tzinfo=ZONE)
    return Project(name="made up", zone=ZONE, deadline=deadline, works=works)


ANY = st.lists(st.sets(st.integers(0, 11), max_size=4), max_size=12)


@given(ANY)
def test_everything_stands_right_of_what_it_waits_for(waits: list[set[int]]) -> None:
    """Right beside the last of it, and what waits for nothing right before what waits for it."""
    made = project(waits)
    spots = graph_of(made).spots
    for work in made.works:
        here, before = spots[work.id].column, [spots[first].column for first in work.after]
        after = [spots[other.id].column for other in made.works if work.id in other.after]
        assert here == (1 + max(before) if before else min(after, default=1) - 1)


@given(ANY)
def test_nothing_lies_on_anything_else(waits: list[set[int]]) -> None:
    """No box on another, and no line behind a box it passes."""
    found = graph_of(project(waits))
    boxes = list(found.spots.values())
    for i, one in enumerate(boxes):
        assert one.top >= -1e-9
        for other in boxes[:i]:
            assert one.column != other.column or abs(one.top - other.top) >= 1 - 1e-9
    for joint, way in found.ways.items():
        for column, middle in enumerate(way, found.spots[joint.first].column + 1):
            tops = [box.top for box in boxes if box.column == column]
            assert all(not top + 1e-9 < middle < top + 1 - 1e-9 for top in tops)


@given(ANY)
def test_keys_lead_everywhere_in_a_column(waits: list[set[int]]) -> None:
    """Going down from the top of a column passes all of it."""
    found = graph_of(project(waits))
    for column in range(found.columns):
        inside = {i for i, spot in found.spots.items() if spot.column == column}
        here = next(i for i in inside if found.spots[i].row == 0)
        passed = {here}
        while (below := found.next(here, 0, 1)) is not None:
            passed.add(below)
            here = below
        assert passed == inside


def test_to_the_right_follows_the_line() -> None:
    """Of two things in the next column the one that waits for this one is meant."""
    found = graph_of(project([set(), set(), {0}, {1}]))
    assert found.joints == (Joint("w0", "w2"), Joint("w1", "w3"))
    assert (found.next("w0", 1, 0), found.next("w1", 1, 0)) == ("w2", "w3")
    assert found.next("w3", -1, 0) == "w1"
    assert found.next("w3", 1, 0) is None


def test_lines_do_not_cross_without_need() -> None:
    """Two pairs listed crosswise are set side by side."""
    spots = graph_of(project([set(), set(), {1}, {0}])).spots
    assert (spots["w0"].row < spots["w1"].row) == (spots["w3"].row < spots["w2"].row)
