"""What parts become: beds and sheets as usual, and others that may take their place."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fabsched.model.estimates import Route
from fabsched.model.project import Project
from fabsched.model.shop import Shop
from fabsched.model.weekend import Run
from fabsched.schedule.bed_sharing import Bench, Sharing, sharings
from fabsched.schedule.beds import Estimates, Filling, materials_on, print_runs
from fabsched.schedule.items import ways_of
from fabsched.schedule.names import Namer
from fabsched.schedule.sheets import LaidSheet, SheetSharing, cut_sheets


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """Beds and sheets of a project.

    Attributes:
        prints: the usual beds.
        sheets: the usual sheets.
        beds: other ways to share beds.
        joint_sheets: sheets that can be cut instead of several.
    """

    prints: tuple[Run, ...]
    sheets: tuple[LaidSheet, ...]
    beds: tuple[Sharing, ...]
    joint_sheets: tuple[SheetSharing, ...]

    @property
    def usual(self) -> tuple[Run, ...]:
        """Beds and sheets as they are if nothing is decided."""
        return (*self.prints, *(sheet.run for sheet in self.sheets))

    @property
    def instead(self) -> tuple[Sharing, ...]:
        """What can be made instead of them."""
        sheets = (
            Sharing(name=joint.sheet.run.name, out=joint.out, into=(joint.sheet.run,))
            for joint in self.joint_sheets
        )
        return (*self.beds, *sheets)

    def runs(self) -> Iterator[Run]:
        """All of them, prints before sheets and the usual before others."""
        yield from self.prints
        yield from (run for sharing in self.beds for run in sharing.into)
        yield from (sheet.run for sheet in self.all_sheets())

    def all_sheets(self) -> Iterator[LaidSheet]:
        """Every sheet, the usual ones first."""
        yield from self.sheets
        yield from (joint.sheet for joint in self.joint_sheets)


def made(project: Project, shop: Shop, estimates: Mapping[str, Estimates], namer: Namer) -> Made:
    """The beds that may be printed and the sheets that may be cut for a project.

    Args:
        project: what is wanted, spelled out by `Items`.
        shop: what there is.
        estimates: for one copy, by part id and machine id.
        namer: gives the ids; the same items give the same ids.

    Raises:
        InputError: no machine can make a part, or it fits none.
    """
    printed = [part for part in project.parts if part.route is Route.PRINT]
    cut = [part for part in project.parts if part.route is Route.CUT]
    materials = materials_on(printed, estimates, shop)
    prints: list[Run] = []
    for part in printed:
        prints += print_runs(part, estimates.get(part.id, {}), shop, namer, materials)
    sheets, joint = cut_sheets(cut, estimates, shop, namer, ways_of(project))
    bench = Bench(project, Filling(estimates, shop, materials), namer)
    return Made(
        prints=tuple(prints),
        sheets=sheets,
        beds=sharings(bench, prints),
        joint_sheets=joint,
    )
