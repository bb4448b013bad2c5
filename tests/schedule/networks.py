"""Project networks with published answers."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """A network, in the units of its source.

    Attributes:
        durations: of each activity.
        after: what it waits for.
        length: of the shortest course.
        latest: latest start of each activity that does not put the end off.
    """

    durations: Mapping[str, int]
    after: Mapping[str, tuple[str, ...]]
    length: int
    latest: Mapping[str, int]


MILWAUKEE = Network(
    durations={"A": 2, "B": 3, "C": 2, "D": 4, "E": 4, "F": 3, "G": 5, "H": 2},
    after={
        "C": ("A",),
        "D": ("B",),
        "E": ("C",),
        "F": ("C",),
        "G": ("D", "E"),
        "H": ("F", "G"),
    },
    length=15,
    latest={"A": 0, "B": 1, "C": 2, "D": 4, "E": 4, "F": 10, "G": 8, "H": 13},
)
"""Milwaukee Paper, in weeks (Heizer and Render, Operations Management; figures from a public file)."""

TAYLOR = Network(
    durations={"1-2": 7, "1-3": 10, "2-4": 6, "3-4": 5, "3-5": 4, "4-5": 3, "5-6": 2},
    after={
        "2-4": ("1-2",),
        "3-4": ("1-3",),
        "3-5": ("1-3",),
        "4-5": ("2-4", "3-4"),
        "5-6": ("3-5", "4-5"),
    },
    length=20,
    latest={"1-2": 2, "1-3": 0, "2-4": 9, "3-4": 10, "3-5": 14, "4-5": 15, "5-6": 18},
)
"""Taylor, Introduction to Management Science, chapter 8, problem 1: activities on arcs."""

NETWORKS = {"milwaukee": MILWAUKEE, "taylor": TAYLOR}
