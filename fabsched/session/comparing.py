"""From a part's file to the ways it could be made. Heavy: imported when a request runs."""

from collections.abc import Callable, Mapping

from fabsched.advise.plates.compare_input import CompareInput, PartNames
from fabsched.advise.plates.comparing import Comparison, compare
from fabsched.advise.plates.slabs import Found
from fabsched.advise.plates.variants import Planned, Variant
from fabsched.files.parts import read_part
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate
from fabsched.model.progress import Watch
from fabsched.model.project import Project
from fabsched.model.shapes import Mesh
from fabsched.schedule.effort import Effort
from fabsched.schedule.planner import make_plan
from fabsched.schedule.structure import weekend_of
from fabsched.session.inputs import ComparisonInput
from fabsched.session.knowledge import knowledge_of
from fabsched.session.planning import BEYOND_S, away_of, hours_of
from fabsched.session.warming import make_ready
from fabsched.session.wording import phrase

BRIEF = Effort(solver=0.0, race=400, search=3_000_000, ranges=False, last_starts=0)
"""Enough to tell ways to make a part apart; the odds are drawn as often as for a full plan. Without the
solver: the search finds better plans in the time that would take."""


def compare_part(
    given: ComparisonInput,
    watch: Watch,
    each: Callable[[Variant], None] = lambda _: None,
    plates: Callable[[Found], None] = lambda _: None,
) -> Comparison:
    """Compare the ways to make a part, or look at one of them alone.

    Args:
        given: the part.
        watch: told of the progress, asked whether to stop.
        each: told of every variant as soon as it is known.
        plates: told of the plates before that.

    Raises:
        InputError: the file is at fault or no solid, or the project cannot be carried out.
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    watch.report(0.0, "reading")
    shape, _ = read_part(given.path, given.part.unit)
    if not isinstance(shape, Mesh):
        raise InputError(Fault.PLATES_NEED_SOLID, given.part.file, known="STL, 3MF, OBJ, PLY, STEP")
    request = CompareInput(
        project=given.project,
        shop=given.shop,
        estimates=given.estimates,
        part=given.part,
        mesh=shape,
        joinery=given.joinery,
        press=given.press,
        also=given.also,
        names=part_names(),
    )
    return compare(request, _Planner(given), watch, only=given.pick, each=each, plates=plates)


def part_names() -> PartNames:
    """What plates, pieces and their works are called in the language spoken."""
    part, number = "{part}", "{number}"
    return PartNames(
        plate=phrase("plate-name", part=part, number=number),
        piece=phrase("piece-name", part=part, number=number),
        clean=phrase("clean-name", part=part),
        fit=phrase("fit-name", part=part),
    )


class _Planner:
    """Plans projects that differ from the one given in how a part is made."""

    def __init__(self, given: ComparisonInput) -> None:
        deadline_s = int(given.project.deadline.timestamp())
        self._given = given
        self._horizon_s = max(given.now_s, deadline_s) + BEYOND_S
        self._hours = hours_of(given.project, given.shop, given.now_s, self._horizon_s)
        self._away = away_of(given.project, given.shop, given.now_s, self._horizon_s)

    def __call__(
        self, project: Project, estimates: Mapping[str, Mapping[str, Estimate]]
    ) -> Planned:
        """Plan a project with little effort."""
        weekend = weekend_of(
            project,
            self._given.shop,
            estimates,
            self._hours,
            now_s=self._given.now_s,
            horizon_s=self._horizon_s,
            away=self._away,
        )
        known = knowledge_of(self._given.seen)
        weekend = known.weekend(weekend, project, self._given.shop)
        answer = make_plan(weekend, seed=self._given.seed, effort=BRIEF, truths=known.truths)
        return answer, weekend
