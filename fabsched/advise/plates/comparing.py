"""Print a part whole or cut plates out of it: all ways side by side, each planned and simulated."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from fabsched.advise.plates.compare_input import CompareInput
from fabsched.advise.plates.exposure import exposure_of
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.slabs import Found
from fabsched.advise.plates.stocks import sheets_mm
from fabsched.advise.plates.substituting import printed_whole
from fabsched.advise.plates.variants import (
    Estimates,
    Mine,
    Plan,
    Variant,
    picks_with,
    tally_of,
)
from fabsched.advise.plates.verdict import Says, Verdict, verdict_of
from fabsched.model.errors import Fault, InputError
from fabsched.model.progress import UNWATCHED, Watch, check, enough
from fabsched.model.project import Part, Project

STAGE = "comparing"
"""Code of the stage that is reported."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Comparison:
    """All ways to make a part.

    Attributes:
        part: id of the part.
        found: its plates, and what comes close.
        variants: the ways; the first prints it whole.
        verdict: what it comes to.
    """

    part: str
    found: Found
    variants: tuple[Variant, ...]
    verdict: Verdict

    @property
    def parted(self) -> Variant:
        """The best way; if that is the whole part, the one with the most plates that can be made."""
        best = self.variants[self.verdict.best]
        if best.pick:
            return best
        return max(self.variants, key=lambda each: (each.tally is not None, len(each.pick)))


def compare(
    given: CompareInput,
    plan: Plan,
    watch: Watch = UNWATCHED,
    *,
    only: tuple[int, ...] | None = None,
    each: Callable[[Variant], None] = lambda _: None,
    plates: Callable[[Found], None] = lambda _: None,
) -> Comparison:
    """Compare all ways to make a part.

    Args:
        given: the part.
        plan: plans a project with known estimates.
        watch: told of the progress, asked whether to stop, or whether the ways known so far will do.
        only: numbers of the plates of one variant to look at alone; None compares all.
        each: told of every variant as soon as it is known; the whole part comes first.
        plates: told of the plates before that.

    Raises:
        InputError: the project cannot be planned as it is.
        Cancelled: the watch said stop.
    """
    given = replace(given, project=printed_whole(given.project, given.part))
    found = plates_of(given)
    extra = _known(given.also if only is None else only, found, given.part)
    ways = dict.fromkeys([*ways_in(found), extra]) if only is None else (extra,)
    plates(found)
    variants: list[Variant] = []
    for number, pick in enumerate(ways):
        check(watch)
        if variants and enough(watch):
            break
        watch.report(number / len(ways), STAGE)
        variants.append(variant_of(given, found, pick, plan))
        each(variants[-1])
    return Comparison(
        part=given.part.id,
        found=found,
        variants=tuple(variants),
        verdict=verdict_of(variants, _alone(found, len(ways))),
    )


def _alone(found: Found, ways: int) -> Says:
    """Why printing it whole is the only way, should it be."""
    if not found.closed:
        return Says.NOT_CLOSED
    return Says.NOT_SEEN if ways > 1 else Says.NO_PLATES


def ways_in(found: Found) -> tuple[tuple[int, ...], ...]:
    """Numbers of the plates of all ways that are compared."""
    return picks_with(len(found.slabs), len(found.adoptable), found.together)


def _known(pick: tuple[int, ...], found: Found, part: Part) -> tuple[int, ...]:
    """A pick, after making sure that there are such plates."""
    count = len(found.slabs) + len(found.adoptable)
    for number in pick:
        if not 0 <= number < count:
            raise InputError(Fault.NO_SUCH_PLATE, part.file, number=number + 1, count=count)
    return tuple(sorted(set(pick)))


def plates_of(given: CompareInput) -> Found:
    """The plates in a part, as thick as sheets that can be had."""
    return find_plates(given.mesh, sheets_mm(given.shop))


def variant_of(given: CompareInput, found: Found, pick: tuple[int, ...], plan: Plan) -> Variant:
    """One way to make a part.

    Args:
        given: the part.
        found: its plates, and what comes close.
        pick: numbers of those that are cut, of what is adopted as well; none prints it whole.
        plan: plans a project with known estimates.

    Raises:
        InputError: the project cannot be planned as it is. A variant that cannot be made comes back
            with the reason.
    """
    if not pick:
        return _planned(given, Variant(pick=()), given.project, given.estimates, plan)
    from fabsched.advise.plates.preparing import prepared  # noqa: PLC0415 - heavy, and not needed for the whole part

    try:
        return _planned(given, *prepared(given, found, pick), plan)
    except InputError as error:
        return Variant(pick=pick, hindered=error)


def _planned(
    given: CompareInput, bare: Variant, project: Project, estimates: Estimates, plan: Plan
) -> Variant:
    """A variant with all that follows from planning it."""
    planned = plan(project, estimates)
    answer, _ = planned
    parts = bare.made.parts if bare.made else (given.part,)
    works = frozenset(work.id for work in bare.made.works) if bare.made else frozenset[str]()
    mine = Mine(parts, works, estimates, planned)
    return replace(
        bare,
        tally=tally_of(mine),
        exposure=exposure_of(mine.runs()),
        on_time=answer.odds.on_time,
        standard_error=answer.odds.standard_error,
        finish_p50_s=answer.odds.p50_s,
    )
