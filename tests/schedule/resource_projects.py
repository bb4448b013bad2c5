"""Projects over limited resources with published answers."""

from collections.abc import Mapping
from dataclasses import dataclass

from fabsched.schedule.solver.classical import Demand


@dataclass(frozen=True, slots=True, kw_only=True)
class ResourceProject:
    """A project of which every activity takes some units of one resource.

    Attributes:
        supplies: units of each resource.
        demands: of each activity.
        length: of the shortest course.
    """

    supplies: Mapping[str, int]
    demands: Mapping[str, Demand]
    length: int


J301_1 = ResourceProject(
    supplies={"R1": 12, "R2": 13, "R3": 4, "R4": 12},
    demands={
        "2": Demand(8, "R1", 4),
        "3": Demand(4, "R1", 10),
        "4": Demand(6, "R4", 3),
        "5": Demand(3, "R1", 3, ("4",)),
        "6": Demand(8, "R4", 8, ("2",)),
        "7": Demand(5, "R1", 4, ("3",)),
        "8": Demand(9, "R2", 1, ("3",)),
        "9": Demand(2, "R1", 6, ("4",)),
        "10": Demand(7, "R4", 1, ("4",)),
        "11": Demand(9, "R2", 5, ("2",)),
        "12": Demand(2, "R2", 7, ("8",)),
        "13": Demand(6, "R1", 4, ("3",)),
        "14": Demand(3, "R2", 8, ("9", "12")),
        "15": Demand(9, "R1", 3, ("2",)),
        "16": Demand(10, "R4", 5, ("10",)),
        "17": Demand(6, "R4", 8, ("13", "14")),
        "18": Demand(5, "R4", 7, ("13",)),
        "19": Demand(3, "R2", 1, ("8",)),
        "20": Demand(7, "R2", 10, ("5", "11", "18")),
        "21": Demand(2, "R4", 6, ("16",)),
        "22": Demand(7, "R1", 2, ("16", "17", "18")),
        "23": Demand(2, "R1", 3, ("20", "22")),
        "24": Demand(3, "R2", 9, ("19", "23")),
        "25": Demand(3, "R1", 4, ("10", "15", "20")),
        "26": Demand(7, "R3", 4, ("11",)),
        "27": Demand(8, "R4", 7, ("7", "8")),
        "28": Demand(3, "R2", 8, ("21", "27")),
        "29": Demand(7, "R2", 7, ("19",)),
        "30": Demand(2, "R2", 7, ("6", "24", "25")),
        "31": Demand(2, "R3", 2, ("26", "28")),
    },
    length=43,
)
"""j301_1 of PSPLIB without its two empty activities, copied from the file `j301_1.sm` that the package
psplib 0.4.0 carries (Kolisch and Sprecher, European Journal of Operational Research 96, 1996; the
optimum stands in the library's table of the set j30)."""
