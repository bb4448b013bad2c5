"""What was seen of a machine, a material or a kind of work, and of checks and deliveries, by name."""

from fabsched.model.experience import LateSeen, LookSeen, RunSeen, Seen, WorkSeen

FAULTS, DELIVERIES = "faults", "deliveries"
"""Names by which what was seen of checks, and of deliveries, is unlearnt."""


def names_of_seen(one: Seen) -> frozenset[str]:
    """Names something seen is unlearnt by; none for what only was foretold."""
    match one:
        case RunSeen():
            return frozenset({one.machine, one.material})
        case WorkSeen():
            return frozenset({one.kind})
        case LookSeen():
            return frozenset({FAULTS})
        case LateSeen():
            return frozenset({DELIVERIES})
        case _:
            return frozenset()
