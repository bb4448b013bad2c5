"""How hard the solver tries; light, since plans are also made without it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Bounds on how hard the solver tries.

    Attributes:
        work: bound on its deterministic time, about a second each on a usual machine.
        seed: of its random choices.
        workers: searches side by side; only with one is the result the same each time.
    """

    work: float = 1.0
    seed: int = 0
    workers: int = 1
