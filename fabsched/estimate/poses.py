"""The poses a part can be printed in, from quick to slow, and from snug to wasteful.

Every side the part can rest on is judged at once by columns: support, contact, height and a rough
time. Only the best few are then simulated in full.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from fabsched.estimate.columns import columns_of
from fabsched.estimate.fitting import turns_of
from fabsched.estimate.placing import Placed, fits, place
from fabsched.estimate.printing import TINY_MM2, simulate_print
from fabsched.estimate.resting import hull_of
from fabsched.estimate.rough import rough_time, surface_of
from fabsched.estimate.support import support_of
from fabsched.estimate.turning import Turn, turned
from fabsched.model.estimates import Estimate, Pose
from fabsched.model.materials import Filament
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Printer

MOST_SIMULATED = 6
"""Poses simulated in full unless asked otherwise."""
COARSE_MM = 0.5
"""Distance of the columns by which poses are judged."""
ALIKE = ((0.02, 20.0), (0.05, 4.0), (0.01, 1.0), (0.0, 0.5))
"""Poses are the same to whoever prints them if no figure differs by more than a share of it and an
amount: support in mm^3, contact in mm^2, seconds, and the height in mm (own choice)."""
MINUTE_S = 60.0
MOST_STEADIER = 2
"""Other poses offered after a failure: more would have to be read (own choice)."""
CLEARLY = 0.85
"""A figure is clearly less if it is no more than this share of another (own choice)."""


def poses(
    mesh: Mesh,
    printer: Printer,
    filament: Filament,
    *,
    where: str,
    limit: int = MOST_SIMULATED,
    watch: Watch = UNWATCHED,
) -> tuple[Pose, ...]:
    """The best poses of a part, best first.

    Poses that fit come before those that do not, and those that hold on to the bed before those
    that hardly touch it; then the quicker one to the minute, then the one with less support, then
    the one with more contact. The pose the part was drawn in is always among them. Of poses that
    do not differ in any figure one is kept.

    Args:
        mesh: the part as it was drawn.
        printer: the machine.
        filament: the material.
        where: name of the part, for errors and findings.
        limit: how many are simulated in full at most.
        watch: told of the progress; may stop the computation.

    Raises:
        InputError: the part has no volume or too many gaps.
        Cancelled: the watch said stop.
    """
    found = _looked_at(mesh, printer, filament, where, watch)
    drawn, *others = found
    kept = [drawn, *sorted(_unlike(drawn, others), key=_rank)[: limit - 1]]
    watched = [_Share(watch, i, len(kept)) for i in range(len(kept))]
    simulated = [
        _simulated(pose, mesh, printer, filament, where, part)
        for pose, part in zip(kept, watched, strict=True)
    ]
    return tuple(sorted(simulated, key=_rank))


@dataclass(frozen=True, slots=True, kw_only=True)
class Steadier:
    """How a part stands, and how it would stand better.

    Attributes:
        now: how it stands.
        others: what to print it in instead, best first; judged by columns, not simulated.
    """

    now: Pose
    others: tuple[Pose, ...]


def steadier_poses(  # noqa: PLR0913 - the same options as `poses`, and how it stands
    mesh: Mesh,
    printer: Printer,
    filament: Filament,
    turn_deg: Turn,
    *,
    where: str,
    limit: int = MOST_STEADIER,
    watch: Watch = UNWATCHED,
) -> Steadier:
    """Poses in which less can go wrong than in the one a part is printed in.

    Such a pose fits, and either stands lower over what it rests on or needs less support, clearly.
    The best by the order of `poses` comes first, then the one that stands lowest over its base.

    Args:
        mesh: the part as it was drawn.
        printer: the machine.
        filament: the material.
        turn_deg: how it is turned now.
        where: name of the part, for errors.
        limit: how many at most.
        watch: told of the progress; may stop the computation.

    Raises:
        InputError: the part has no volume or too many gaps.
        Cancelled: the watch said stop.
    """
    now = _judged(place(turned(mesh, turn_deg), where), turn_deg, printer, filament)
    looked = _looked_at(mesh, printer, filament, where, watch)
    better = sorted((p for p in _unlike(now, looked) if _is_steadier(p, now)), key=_rank)
    others = dict.fromkeys((*better[:1], *sorted(better[1:], key=lambda pose: pose.lever)))
    return Steadier(now=now, others=tuple(others)[:limit])


def _is_steadier(pose: Pose, now: Pose) -> bool:
    """Whether less can go wrong: it hardly hangs over, or it holds on to the bed."""
    if not pose.fits or pose.contact_mm2 < TINY_MM2:
        return False
    lower = pose.lever <= CLEARLY * now.lever
    return lower or pose.support_mm3 <= CLEARLY * now.support_mm3 - ALIKE[0][1]


@dataclass(frozen=True, slots=True)
class _Share:
    """A watch over one of several equal pieces of work."""

    watch: Watch
    number: int
    count: int

    def report(self, done: float, stage: str) -> None:
        """Pass on how far the whole is."""
        within = done if stage == "paths" else 0.0
        self.watch.report((self.number + within) / self.count, "poses")

    def stopped(self) -> bool:
        """Whether the user wants the computation to end."""
        return self.watch.stopped()


def _looked_at(
    mesh: Mesh, printer: Printer, filament: Filament, where: str, watch: Watch
) -> list[Pose]:
    """All poses, judged by columns; the one the part was drawn in comes first."""
    placed = place(mesh, where)
    found = []
    for turn in turns_of(hull_of(placed)):
        check(watch)
        watch.report(0.0, "poses")
        found.append(_judged(place(turned(placed.mesh, turn), where), turn, printer, filament))
    return found


def _judged(placed: Placed, turn: Turn, printer: Printer, filament: Filament) -> Pose:
    """A pose by its columns."""
    support = support_of(placed, printer.build, columns_of(placed, COARSE_MM))
    surface = surface_of(placed.mesh, printer.build.overhang_deg)
    surface = replace(surface, under_mm3=support.volume_mm3)
    return Pose(
        turn_deg=turn,
        fits=fits(placed, printer),
        size_mm=placed.size_mm,
        support_mm3=support.volume_mm3,
        contact_mm2=support.bed_mm2,
        rough_s=rough_time(surface, printer, filament),
    )


def _simulated(
    pose: Pose, mesh: Mesh, printer: Printer, filament: Filament, where: str, watch: Watch
) -> Pose:
    """The same pose with its full estimate, if it fits."""
    if not pose.fits:
        return pose
    placed = place(turned(mesh, pose.turn_deg), where)
    found = simulate_print(placed, printer, filament, where=where, watch=watch)
    return replace(
        pose,
        estimate=found,
        support_mm3=found.support_mm3 or 0.0,
        contact_mm2=found.contact_mm2 or 0.0,
    )


def _unlike(drawn: Pose, others: Iterable[Pose]) -> list[Pose]:
    """The poses that differ from the one drawn and from each other."""
    kept = [drawn]
    for pose in others:
        if not any(_same(pose, other) for other in kept):
            kept.append(pose)
    return kept[1:]


def _same(one: Pose, other: Pose) -> bool:
    """Whether two poses differ in no figure."""
    return all(
        abs(a - b) <= share * max(a, b) + amount
        for a, b, (share, amount) in zip(_figures(one), _figures(other), ALIKE, strict=True)
    )


def _figures(pose: Pose) -> tuple[float, ...]:
    """What one pose is told from another by."""
    return pose.support_mm3, pose.contact_mm2, pose.rough_s.likely, pose.size_mm[2]


def _rank(pose: Pose) -> tuple[bool, bool, int, float, float]:
    """What poses are sorted by."""
    known: Estimate | None = pose.estimate
    seconds = known.seconds.likely if known else pose.rough_s.likely
    return (
        not pose.fits,
        pose.contact_mm2 < TINY_MM2,
        round(seconds / MINUTE_S),
        pose.support_mm3,
        -pose.contact_mm2,
    )
