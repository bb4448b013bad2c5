"""Where things stand in the picture of what waits for what."""

from datetime import datetime
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from fabsched.desktop.needs.graph import Joint, graph_of
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
    """And right beside the last of it: one column further; no two stand on one spot."""
    made = project(waits)
    found = graph_of(made)
    assert len(set(found.spots.values())) == len(made.works)
    for work in made.works:
        columns = [found.spots[first].column for first in work.after]
        assert found.spots[work.id].column == 1 + max(columns, default=-1)


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
