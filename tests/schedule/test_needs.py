"""What hangs on what."""

from dataclasses import replace

import pytest
from hypothesis import given

from fabsched.model.weekend import Weekend
from fabsched.schedule.needs import asked_for, place_of, tails_s
from fabsched.schedule.rules import likely_s
from fabsched.schedule.solver.classical import project_network
from tests.schedule.networks import NETWORKS
from tests.schedule.weekends import maker_weekend, weekends


@pytest.mark.parametrize("name", NETWORKS)
def test_tails_are_those_of_the_textbook(name: str) -> None:
    """A tail is the project's length less the latest start, which are published."""
    network = NETWORKS[name]
    tails = tails_s(project_network(network.durations, network.after), likely_s)
    latest = {activity: network.length - tail for activity, tail in tails.items()}
    assert latest == network.latest


@given(weekends())
def test_tail_is_longer_than_that_of_any_follower(weekend: Weekend) -> None:
    """By the activity's own time and the way, at least."""
    tails = tails_s(weekend, likely_s)
    for activity in weekend.activities:
        for need in activity.after:
            before = weekend.activity(need)
            way_s = weekend.way_s(place_of(weekend, before), place_of(weekend, activity))
            assert tails[need] >= likely_s(before) + way_s + tails[activity.id]


def test_what_nobody_waits_for_is_not_asked_for() -> None:
    """The optional page is not; an optional work that something needed waits for is."""
    weekend = maker_weekend()
    assert {a.id for a in weekend.activities} - asked_for(weekend) == {"page~1", "page~2"}
    optional = tuple(replace(a, needed=a.id == "test-station") for a in weekend.activities)
    assert asked_for(replace(weekend, activities=optional)) == asked_for(weekend)
