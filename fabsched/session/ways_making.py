"""From a part's file to the ways it could be made, told one by one. Heavy: imported when it runs."""

from dataclasses import replace
from typing import TYPE_CHECKING

from fabsched.advise.plates.exposure import Exposure
from fabsched.advise.plates.variants import Tally, Variant
from fabsched.model.progress import Watch, tell
from fabsched.session.comparing import compare_part
from fabsched.session.inputs import ComparisonInput
from fabsched.session.way_records import (
    Altered,
    Body,
    Figures,
    Glue,
    Miss,
    Sag,
    ShownWay,
    WaysResponse,
)

if TYPE_CHECKING:  # brings in the equations' solver
    from fabsched.advise.plates.bending import Give
    from fabsched.advise.plates.making import Made
    from fabsched.advise.plates.seams import Seam
    from fabsched.advise.plates.splitting import Split


def ways_of(given: ComparisonInput, ident: int, watch: Watch) -> WaysResponse:
    """Compare all ways; each is handed to the watch as soon as it is known.

    Args:
        given: the part.
        ident: number of the request.
        watch: told of the progress and of every way, asked whether to stop.

    Raises:
        InputError: the file is at fault or no solid, or the project cannot be carried out.
        Cancelled: the watch said stop.
    """
    shown: list[ShownWay] = []

    def take(variant: Variant) -> None:
        shown.append(shown_way(variant, given.press.force_n))
        tell(watch, shown[-1])

    found = compare_part(given, watch, take)
    return WaysResponse(
        id=ident,
        part=found.part,
        ways=tuple(shown),
        plates=tuple((slab.sheet_mm, slab.area_mm2) for slab in found.found.slabs),
        misses=tuple(
            Miss(area_mm2=miss.slab.area_mm2, code=miss.reason, facts=miss.facts, number=number)
            for miss, number in found.found.numbered
        ),
        best=found.verdict.best,
        code=found.verdict.code,
        facts=found.verdict.facts,
    )


def shown_way(variant: Variant, press_n: float) -> ShownWay:
    """One way as a plain record.

    Args:
        variant: the way.
        press_n: force of the press its plates are looked at under.
    """
    figures = None
    if variant.tally and variant.exposure:
        figures = _figures(variant.tally, variant.exposure)
    whole = ShownWay(
        pick=variant.pick,
        on_time=variant.on_time,
        standard_error=variant.standard_error,
        figures=figures,
        hindered=variant.hindered,
    )
    if variant.split is None or variant.made is None:
        return whole
    return _taken_apart(whole, variant, variant.split, variant.made, press_n)


def _taken_apart(
    whole: ShownWay, variant: Variant, split: "Split", made: "Made", press_n: float
) -> ShownWay:
    """The same with its plates and pieces, what holds them and how far they give."""
    # not needed for the whole part, which is shown first
    from fabsched.advise.plates.joint_list import screws_of  # noqa: PLC0415 - see above
    from fabsched.advise.plates.parting import parted_by  # noqa: PLC0415 - likewise
    from fabsched.advise.plates.writing import moved_apart, part_files, plain_files_of  # noqa: PLC0415 - see above
    from fabsched.estimate.coarse import coarsened  # noqa: PLC0415 - likewise
    from fabsched.session.looks import MOST_FACES  # noqa: PLC0415 - likewise

    return replace(
        whole,
        sags=tuple(_sag(give, variant.pick) for give in variant.gives),
        untold=tuple((variant.pick[each.plate] + 1, str(each.why)) for each in variant.untold),
        glue=tuple(_glue(seam, variant.pick) for seam in variant.seams),
        parted_by=tuple(variant.pick[plate] + 1 for plate in parted_by(split)),
        press_n=press_n,
        screws=screws_of(split, made.copies),
        changes=tuple(
            Altered(plate=number + 1, code=change.reason, facts=change.facts)
            for number, change in variant.changes
        ),
        crumbs_mm3=round(split.balance.crumbs, 1),
        bodies=tuple(
            Body(label=each.label, mesh=coarsened(each.mesh, MOST_FACES), colour=each.colour)
            for each in moved_apart(split)
        ),
        parts=made.parts,
        works=made.works,
        own_files=part_files(made),
        files=plain_files_of(split, made),
    )


def _figures(tally: Tally, exposure: Exposure) -> Figures:
    return Figures(
        printing_s=tally.printing_s,
        cutting_s=tally.cutting_s,
        hands_s=tally.hands_s,
        mass_g=tally.mass_g,
        sheet_mm2=tally.sheet_mm2,
        cost=tally.cost,
        trips=tally.trips,
        warp=str(tally.warp or ""),
        fails=exposure.chance,
        lost_mean_s=exposure.mean_s,
        lost_p90_s=exposure.p90_s,
        lost_s=exposure.expected_s,
    )


def _glue(seam: "Seam", pick: tuple[int, ...]) -> Glue:
    return Glue(
        plate=pick[seam.plate] + 1,
        area_mm2=seam.area_mm2,
        stress_mpa=seam.stress_mpa,
        allowed_mpa=seam.allowed_mpa,
        lever_mm=seam.lever_mm,
    )


def _sag(give: "Give", pick: tuple[int, ...]) -> Sag:
    return Sag(
        plate=pick[give.plate] + 1,
        sag_mm=give.worst.sag_mm,
        bosses=tuple((*boss.at_mm, boss.sag_mm) for boss in give.bosses),
        loaded_mm=give.loaded.sag_mm if give.loaded else None,
    )
