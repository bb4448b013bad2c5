"""Print a part whole or cut plates out of it: all ways side by side, each planned and simulated."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from fabsched.advise.plates.choosing import Chosen, chosen
from fabsched.advise.plates.exposure import exposure_of
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.joinery import Joinery, Press
from fabsched.advise.plates.making import made_of
from fabsched.advise.plates.slabs import Found
from fabsched.advise.plates.spares import spares_for, with_spares
from fabsched.advise.plates.splitting import as_drawn, split
from fabsched.advise.plates.stocks import sheets_mm, stocks_of
from fabsched.advise.plates.substituting import fresh_ids, instead, printed_whole
from fabsched.advise.plates.variants import (
    Estimates,
    Mine,
    Plan,
    Variant,
    picks_with,
    tally_of,
)
from fabsched.advise.plates.verdict import Verdict, verdict_of
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.project import Part, Project
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Shop

STAGE = "comparing"
"""Code of the stage that is reported."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CompareInput:
    """A part to be compared.

    Attributes:
        project: the project it belongs to.
        shop: what there is.
        estimates: of every part of the project.
        part: the part; it is printed now.
        mesh: what its file holds.
        joinery: measures of the joints.
        press: what plates have to bear.
    """

    project: Project
    shop: Shop
    estimates: Mapping[str, Mapping[str, Estimate]]
    part: Part
    mesh: Mesh
    joinery: Joinery = field(default_factory=Joinery)
    press: Press = field(default_factory=Press)


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


def compare(
    given: CompareInput,
    plan: Plan,
    watch: Watch = UNWATCHED,
    *,
    only: tuple[int, ...] | None = None,
    each: Callable[[Variant], None] = lambda _: None,
) -> Comparison:
    """Compare all ways to make a part.

    Args:
        given: the part.
        plan: plans a project with known estimates.
        watch: told of the progress, asked whether to stop.
        only: numbers of the plates of one variant to look at alone; None compares all.
        each: told of every variant as soon as it is known; the whole part comes first.

    Raises:
        InputError: the project cannot be planned as it is.
        Cancelled: the watch said stop.
    """
    given = replace(given, project=printed_whole(given.project, given.part))
    found = plates_of(given)
    ways = picks_with(len(found.slabs), len(found.adoptable))
    if only is not None:
        ways = (_known(only, found, given.part),)
    variants: list[Variant] = []
    for number, pick in enumerate(ways):
        check(watch)
        watch.report(number / len(ways), STAGE)
        variants.append(variant_of(given, found, pick, plan))
        each(variants[-1])
    return Comparison(
        part=given.part.id,
        found=found,
        variants=tuple(variants),
        verdict=verdict_of(variants),
    )


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
    try:
        ready = chosen(given.mesh, found, pick, sheets_mm(given.shop), given.part.file)
        return _apart(given, ready, plan)
    except InputError as error:
        return Variant(pick=pick, hindered=error)


def _apart(given: CompareInput, ready: Chosen, plan: Plan) -> Variant:
    """The variant that cuts some plates.

    Raises:
        InputError: too little is left of one where it meets a larger one at a slant, or it cannot be
            made.
    """
    from fabsched.advise.plates.bending import gives  # noqa: PLC0415 - brings in the equations' solver

    stocks = stocks_of(given.shop)
    done = split(ready.mesh, ready.slabs, given.joinery, where=given.part.file)
    for slab, number in zip(ready.slabs, ready.numbers, strict=True):
        if slab in done.askew:
            raise InputError(Fault.PLATE_ASKEW, given.part.file, number=number + 1)
    done = as_drawn(done, sum(change.volume_mm3 for _, change in ready.changes))
    materials = {stock.thickness_mm: stock.material for stock in stocks}
    bent = gives(done, materials, given.press)
    if given.joinery.spares and (spares := spares_for(done, bent)):
        done = with_spares(done, spares)
        bent = gives(done, materials, given.press)
    fresh = fresh_ids(given.project)
    made = made_of(done, given.part, given.shop, stocks, fresh)
    project = instead(given.project, given.part, made)
    estimates: Estimates = {**given.estimates, **made.estimates}
    bare = Variant(pick=ready.numbers, split=done, made=made, gives=bent, changes=ready.changes)
    return _planned(given, bare, project, estimates, plan)


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
