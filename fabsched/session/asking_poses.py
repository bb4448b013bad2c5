"""Asks for other poses of what failed, and whether it could be made of plates and pieces."""

from typing import Any

from fabsched.model.estimates import Route
from fabsched.model.project import Part
from fabsched.model.weekend import Run
from fabsched.session.bench import Bench
from fabsched.session.log_requests import PiecesRequest, PoseRequest, ReplanResponse
from fabsched.session.replanned import Trouble

MOST, MOST_EACH = 2, 1
"""Poses weighed of what is alone on its bed, and of each of several parts."""


def pose_requests(bench: Bench, found: ReplanResponse | None) -> tuple[PoseRequest, ...]:
    """Ask for other poses of what went wrong last, one request for each part of it.

    None of what somebody stands beside, and of what is no print that can be turned.

    Args:
        bench: whose project.
        found: the rest of its weekend as it was planned last; None if it was not.
    """
    run = _failed_run(found)
    if found is None or found.rest.trouble is None or run is None or run.attended:
        return ()
    parts = [ident for ident, _ in run.cargo if _may_be_turned(bench, ident)]
    most = MOST if len(parts) == 1 else MOST_EACH
    return tuple(_request(bench, found, found.rest.trouble, each, most) for each in parts)


def plates_possible(bench: Bench, found: ReplanResponse | None) -> tuple[Part, ...]:
    """Printed parts of what went wrong last that could be compared with plates and pieces.

    None of those for which the project knows several ways, since these are among the choices.

    Args:
        bench: whose project.
        found: the rest of its weekend as it was planned last; None if it was not.
    """
    run = _failed_run(found)
    cargo = run.cargo if run else ()
    forks = bench.project.forks
    forked = {item for fork in forks for way in fork.ways for item in way.items}
    loaded = {ident for ident, _ in cargo if ident not in forked and _may_be_turned(bench, ident)}
    return tuple(part for part in bench.project.parts if part.id in loaded)


def pieces_requests(bench: Bench, found: ReplanResponse | None) -> tuple[PiecesRequest, ...]:
    """Ask for the best way to make what went wrong last of plates and pieces, a request for each part.

    None of parts of which a copy is made already: all copies would be made the other way.

    Args:
        bench: whose project.
        found: the rest of its weekend as it was planned last; None if it was not.
    """
    if found is None or found.rest.trouble is None:
        return ()
    begun = (*found.rest.done.values(), *found.rest.going.values())
    made = {ident for stint in begun for ident, _ in stint.meant.items}
    parts = (part.id for part in plates_possible(bench, found) if part.id not in made)
    return tuple(PiecesRequest(**_given(bench, found, found.rest.trouble, part)) for part in parts)


def _failed_run(found: ReplanResponse | None) -> Run | None:
    """The run that went wrong last; None if nothing did, or something else."""
    trouble = found.rest.trouble if found else None
    failed = found.weekend.activity(trouble.subject) if found and trouble else None
    return failed if isinstance(failed, Run) else None


def _may_be_turned(bench: Bench, ident: str) -> bool:
    part = next((part for part in bench.project.parts if part.id == ident), None)
    known = bench.estimates.get(ident, {}).values()
    whole = any(estimate.whole_run for estimate in known)
    return part is not None and part.route is Route.PRINT and not (part.minutes or whole)


def _request(
    bench: Bench, found: ReplanResponse, trouble: Trouble, part: str, most: int
) -> PoseRequest:
    given = _given(bench, found, trouble, part)
    return PoseRequest(**given, machine=trouble.machine, most=most)


def _given(bench: Bench, found: ReplanResponse, trouble: Trouble, part: str) -> dict[str, Any]:
    """The fields of `FailedInput`."""
    return {
        "project": bench.project,
        "shop": bench.shop,
        "estimates": bench.estimates,
        "now_s": found.weekend.begin_s,
        "seed": found.ground.seed,
        "seen": bench.experiences.seen,
        "entries": bench.log.entries,
        "folder": bench.folder,
        "ground": found.ground,
        "part": part,
        "subject": trouble.subject,
    }
