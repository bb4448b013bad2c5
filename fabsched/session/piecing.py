"""A part that failed, of cut plates and printed pieces instead: planned like the other choices.

Heavy: imported when it runs.
"""

from collections.abc import Mapping
from dataclasses import replace

from fabsched.advise.after_failure import weighed_as
from fabsched.advise.options import Option
from fabsched.advise.plates.compare_input import CompareInput
from fabsched.advise.plates.comparing import STAGE, plates_of, variant_of, ways_in
from fabsched.advise.plates.slabs import Found
from fabsched.advise.plates.variants import Planned, Variant, picks
from fabsched.advise.plates.verdict import best_of
from fabsched.files.parts import read_part
from fabsched.model.estimates import Estimate, Route
from fabsched.model.log import Cure, Remedy
from fabsched.model.progress import Watch, check
from fabsched.model.project import Part, Project
from fabsched.model.shapes import Mesh
from fabsched.schedule.reach import check_hours
from fabsched.schedule.stretch import Stretch
from fabsched.session.comparing import part_names
from fabsched.session.inputs import FailedInput
from fabsched.session.knowledge import knowledge_of
from fabsched.session.replanning import left_of, mass_g
from fabsched.session.stock import sheet_name
from fabsched.session.warming import make_ready
from fabsched.session.way_records import Pieces
from fabsched.session.ways import as_taken
from fabsched.session.ways_making import shown_way
from fabsched.session.wording import phrase

MOST = 8
"""Ways that are planned at most, so that the choice is soon there: all plates, then each alone (our
own choice)."""

LOOKED = 0.9
"""Share of the work that is done once all ways are known (our own guess)."""

Estimates = Mapping[str, Mapping[str, Estimate]]


def pieces_of(given: FailedInput, watch: Watch) -> tuple[Pieces | None, bool]:
    """The best way to make a part of plates and pieces, in the weekend as it is by now.

    Ways that change the part's shape and ways whose glue would not hold are left to the comparison,
    which tells of that.

    Returns:
        The way, None if there is none; and whether a comparison of all ways would show another.

    Raises:
        InputError: the part's file is at fault.
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    watch.report(0.0, "reading")
    part = next(part for part in given.project.parts if part.id == given.part)
    shape, _ = read_part(given.folder / part.file, part.unit)
    if not isinstance(shape, Mesh):
        return None, False
    asked = _asked(given, part, shape)
    found = plates_of(asked)
    ways = tuple(pick for pick in ways_in(found) if pick)
    best = _best(given, asked, found, Stretch(watch, 0.0, LOOKED))
    if best is None:
        return None, bool(ways)
    last = Stretch(watch, LOOKED, 1.0)
    return _taken(given, best, asked.press.force_n, last), len(ways) > 1


def _asked(given: FailedInput, part: Part, mesh: Mesh) -> CompareInput:
    return CompareInput(
        project=given.project,
        shop=given.shop,
        estimates=given.estimates,
        part=part,
        mesh=mesh,
        names=part_names(),
    )


def _best(given: FailedInput, asked: CompareInput, found: Found, watch: Watch) -> Variant | None:
    """The best of the ways that can be made and hold; None if there is none."""
    todo = picks(len(found.slabs), MOST + 1)[1:]
    variants: list[Variant] = []
    for number, pick in enumerate(todo):
        check(watch)
        part = Stretch(watch, number / len(todo), (number + 1) / len(todo))
        part.report(0.0, STAGE)
        variants.append(variant_of(asked, found, pick, _Planner(given, part)))
    firm = [n for n, way in enumerate(variants) if way.tally and all(s.holds for s in way.seams)]
    return variants[best_of(variants, firm)] if firm else None


class _Planner:
    """Plans what is left of the weekend with the part made in a way."""

    def __init__(self, given: FailedInput, watch: Watch) -> None:
        self._given, self._watch = given, watch

    def __call__(self, project: Project, estimates: Estimates) -> Planned:
        after = replace(self._given, project=project, estimates=_as_learnt(self._given, estimates))
        weekend = left_of(after).weekend
        check_hours(weekend, project)
        return _option(self._given, after, "", self._watch).answer, weekend


def _as_learnt(given: FailedInput, estimates: Estimates) -> Estimates:
    """What is new among some estimates, with what is known of machines put to it."""
    known, machines = knowledge_of(given.seen), given.shop.machines
    fresh = {
        part: {ident: known.estimate(each, machines.get(ident)) for ident, each in mine.items()}
        for part, mine in estimates.items()
        if part not in given.estimates
    }
    return {**estimates, **fresh}


def _taken(given: FailedInput, best: Variant, press_n: float, watch: Watch) -> Pieces:
    """The way, with what becomes of the weekend when the project holds it."""
    way = shown_way(best, press_n)
    project = as_taken(given.part, way)(given.project)
    made = best.made.estimates if best.made else {}
    estimates = _as_learnt(given, {**given.estimates, **made})
    after = replace(given, project=project, estimates=estimates)
    name = next(part.name for part in project.parts if part.id == given.part)
    numbers = ", ".join(str(number + 1) for number in way.pick)
    detail = phrase("choice-pieces", what=name, plates=numbers)
    return Pieces(part=given.part, option=_option(given, after, detail, watch), way=way)


def _option(given: FailedInput, after: FailedInput, detail: str, watch: Watch) -> Option:
    """What becomes of the rest of the weekend, on the same luck as with the other choices."""
    remedy = Remedy(cure=Cure.FORK, subject=given.subject, part=given.part, detail=detail)
    cut = [part for part in after.project.parts if part.route is Route.CUT]
    ground = replace(
        given.ground,
        mass_g={**given.ground.mass_g, **mass_g(after.estimates)},
        sheets={part.id: sheet_name(part) for part in cut},
    )
    return weighed_as(ground, left_of(after).weekend, remedy, watch=watch)
