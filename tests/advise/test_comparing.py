"""Ways to make a part, side by side."""

from collections.abc import Mapping
from dataclasses import replace

import pytest

from fabsched.advise.plates.bending import gives
from fabsched.advise.plates.compare_input import CompareInput
from fabsched.advise.plates.comparing import compare, ways_in
from fabsched.advise.plates.exposure import exposure_of
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.joinery import Press
from fabsched.advise.plates.seams import Seam
from fabsched.advise.plates.splitting import split
from fabsched.advise.plates.variants import Planned, Tally, Variant, picks
from fabsched.advise.plates.verdict import Says, verdict_of
from fabsched.estimate.printing import estimate_print
from fabsched.model.errors import Cancelled, Fault, InputError
from fabsched.model.estimates import Estimate, WarpLevel
from fabsched.model.plan import Answer, Block, Course, Kind, Odds, Plan, Solver
from fabsched.model.project import Project
from fabsched.model.shapes import Mesh
from fabsched.model.spread import Spread
from fabsched.model.weekend import NOTICE_S, Choice, Run, Station, Task, Weekend
from tests.advise import bodies
from tests.advise.test_making import ACRYLIC, MOUNT, PROJECT, SHOP
from tests.estimate.bodies import PLA, of_manifold, printer


def run_of(seconds: float, *, attended: bool = False, fail: float = 0.1) -> Run:
    """A run that fails with a chance, however long it is."""
    return Run(
        id=f"run{seconds}",
        name="Run",
        choices=(Choice("printer", Spread.exactly(seconds)),),
        attended=attended,
        start_s=60,
        clear_s=60,
        fail_start=fail,
        cargo=(("mount", 1),),
    )


def test_a_failure_costs_an_even_share_of_the_run() -> None:
    """One attended run of two hours: an hour on average, 1.8 hours at the 90 % point."""
    found = exposure_of([(run_of(7200, attended=True), 1.0)])
    assert found.chance == pytest.approx(0.1)
    assert found.mean_s == pytest.approx(3600)
    assert found.p90_s == pytest.approx(0.9 * 7200, rel=1e-3)
    assert found.expected_s == pytest.approx(360)


def test_many_short_runs_risk_less_than_one_long_one() -> None:
    """Ten runs of a tenth fail more often, but each failure costs a tenth (and being noticed)."""
    long, short = (
        exposure_of([(run_of(36_000), 1.0)]),
        exposure_of([(replace(run_of(3600), id=str(i)), 1.0) for i in range(10)]),
    )
    assert short.chance > long.chance
    assert short.mean_s - NOTICE_S == pytest.approx(0.1 * (long.mean_s - NOTICE_S))
    assert short.p90_s < 0.2 * long.p90_s


def test_nothing_that_fails_costs_nothing() -> None:
    """No runs, or runs that never fail."""
    for runs in ([], [(run_of(3600, fail=0.0), 1.0)]):
        found = exposure_of(runs)
        assert (found.chance, found.mean_s, found.p90_s, found.expected_s) == (0, 0, 0, 0)


@pytest.mark.parametrize("count", range(7))
def test_picks_are_capped_and_begin_with_the_whole(count: int) -> None:
    """Whole, then all, then others; each once, and every choice among up to five plates."""
    found = picks(count)
    assert found[0] == ()
    assert len(found) == len(set(found)) == min(32, 2**count)
    assert count == 0 or found[1] == tuple(range(count))


def odds(on_time: float) -> Odds:
    """Odds with the error of 20 000 scenarios."""
    return Odds(on_time=on_time, standard_error=0.003, p10_s=1, p50_s=2, p90_s=3, scenarios=20_000)


def planned(project: Project, _: Mapping[str, Mapping[str, Estimate]]) -> Planned:
    """A planner by hand: one run for each part, and all work in a row."""
    runs = tuple(
        Run(
            id=f"{part.id}.run",
            name=part.name,
            choices=(Choice("printer" if part.route == "print" else "laser", Spread.exactly(600)),),
            attended=part.route == "cut",
            start_s=60,
            clear_s=60,
            fail_start=0.1,
            cargo=((part.id, part.copies),),
        )
        for part in project.parts
    )
    tasks = tuple(
        Task(
            id=work.id,
            name=work.name,
            place="home",
            people=("me",),
            seconds=work.minutes,
            of=work.id,
        )
        for work in project.works
    )
    blocks = tuple(
        Block(
            id=task.id,
            activity=task.id,
            kind=Kind.WORK,
            what=task.name,
            resource="me",
            place="home",
            start_s=100 * i,
            end_s=100 * i + 100,
        )
        for i, task in enumerate(tasks)
    )
    stations = tuple(
        Station(id=name, name=name, place="home", windows=None)  # type: ignore[arg-type]  # not looked at
        for name in ("printer", "laser")
    )
    weekend = Weekend(
        zone="UTC",
        begin_s=0,
        deadline_s=1000,
        horizon_s=2000,
        hands=(),
        sites=(),
        stations=stations,
        activities=(*runs, *tasks),
    )
    answer = Answer(
        plan=Plan(order=tuple(a.id for a in weekend.activities)),
        course=Course(blocks=blocks, done_s={}, finish_s=900),
        odds=odds(0.8),
        solver=Solver(status="unknown", bound_s=None, gap=None),
        method="by hand",
    )
    return answer, weekend


def given() -> CompareInput:
    """The composite in the small project."""
    mesh = bodies.composite()
    whole = {"printer": estimate_print(mesh, printer(), PLA, where="mount")}
    estimates = {"mount": whole, "mount_plate1": whole}
    return CompareInput(project=PROJECT, shop=SHOP, estimates=estimates, part=MOUNT, mesh=mesh)


def test_all_ways_of_the_composite() -> None:
    """Whole, both plates, either: each with its figures, and every one told as it comes."""
    told: list[Variant] = []
    found = compare(given(), planned, each=told.append)
    assert tuple(told) == found.variants
    assert [variant.pick for variant in found.variants] == [(), (0, 1), (0,), (1,)]
    whole, both = (found.variants[n].tally for n in (0, 1))
    assert whole is not None
    assert both is not None
    assert both.mass_g < 0.2 * whole.mass_g
    assert whole.sheet_mm2 == 0 < both.sheet_mm2
    assert (whole.hands_s, both.hands_s) == (0, 200)  # cleaning and fitting
    assert found.variants[1].gives[0].worst.sag_mm > 0


def test_every_near_miss_is_compared() -> None:
    """A box with walls of 2.8: whole, all five walls as panels of 3, and each wall alone."""
    walls = bodies.bar(120, 80, 50) - bodies.bar(114.4, 74.4, 50, (2.8, 2.8, 2.8))
    found = find_plates(of_manifold(walls), (3.0,))
    assert (len(found.slabs), len(found.adoptable)) == (0, 5)
    assert ways_in(found) == ((), (0, 1, 2, 3, 4), (0,), (1,), (2,), (3,), (4,))


def test_ways_that_share_a_place_are_not_taken_together() -> None:
    """Half-way between two sheets a slab could be either, not both."""
    found = find_plates(of_manifold(bodies.bar(90, 60, 3.5)), bodies.SHEETS_MM)
    assert len(found.adoptable) == 2
    assert ways_in(found) == ((), (0,), (1,))


def test_a_way_that_is_asked_for_is_compared_as_well() -> None:
    """Even where it is not among the usual ones; one with a plate there is not is refused."""
    asked = compare(replace(given(), also=(1,)), planned).variants
    assert [variant.pick for variant in asked] == [(), (0, 1), (0,), (1,)]
    with pytest.raises(InputError) as caught:
        compare(replace(given(), also=(7,)), planned)
    assert caught.value.code is Fault.NO_SUCH_PLATE


def test_one_way_alone() -> None:
    """A single variant is the same as among all."""
    alone = compare(given(), planned, only=(1,)).variants
    assert [variant.pick for variant in alone] == [(1,)]
    with pytest.raises(InputError) as caught:
        compare(given(), planned, only=(2,))
    assert caught.value.code is Fault.NO_SUCH_PLATE


def test_what_cannot_be_made_is_told_why() -> None:
    """Without a laser only the whole part is left, and the others say so."""
    bare = replace(given(), shop=replace(SHOP, lasers=()))
    found = compare(bare, planned)
    assert found.verdict.code is Says.ONLY
    assert all(variant.hindered is not None for variant in found.variants[1:])
    assert all(
        variant.hindered.code is Fault.NO_MACHINE
        for variant in found.variants[1:]
        if variant.hindered
    )


def test_parts_without_plates_are_printed_whole() -> None:
    """A ball has one way."""
    found = compare(replace(given(), mesh=bodies.ball()), planned)
    assert found.verdict.code is Says.NO_PLATES
    assert len(found.variants) == 1


def test_of_an_open_surface_no_plates_are_denied() -> None:
    """Nothing can be found in it, which is not the same as that there is nothing."""
    mesh = bodies.composite()
    found = compare(replace(given(), mesh=Mesh(mesh.vertices, mesh.faces[1:])), planned)
    assert found.verdict.code is Says.NOT_CLOSED


class Impatient:
    """A watch that stops after a few questions."""

    def __init__(self, patience: int) -> None:
        self.left = patience

    def report(self, done: float, stage: str) -> None:
        """Hear nothing."""

    def stopped(self) -> bool:
        """Whether patience is at its end."""
        self.left -= 1
        return self.left < 0


class Content(Impatient):
    """A watch that says after a few questions that the ways known so far will do."""

    def tell(self, what: object) -> None:
        """Hear nothing."""

    def stopped(self) -> bool:
        """Never."""
        return False

    def enough(self) -> bool:
        """Whether patience is at its end."""
        self.left -= 1
        return self.left < 0


def test_the_ways_so_far_may_do() -> None:
    """Whoever has seen enough gets a verdict about those; the whole part is always among them."""
    found = compare(given(), planned, Content(1))
    assert [variant.pick for variant in found.variants] == [(), (0, 1)]
    assert found.verdict.best in (0, 1)
    alone = compare(given(), planned, Content(0))
    assert len(alone.variants) == 1
    assert alone.verdict.code is Says.NOT_SEEN  # and not that there were no plates
    assert alone.verdict.facts["chance"] == alone.variants[0].on_time


def test_it_can_be_stopped() -> None:
    """Between two variants the watch is asked."""
    told: list[Variant] = []
    with pytest.raises(Cancelled):
        compare(given(), planned, Impatient(1), each=told.append)
    assert len(told) == 1


TALLY = Tally(
    printing_s=1.0,
    cutting_s=0.0,
    hands_s=0,
    mass_g=1.0,
    sheet_mm2=0.0,
    cost=1.0,
    trips=0,
    warp=WarpLevel.LOW,
)


def way(pick: tuple[int, ...], on_time: float, hours: float, cost: float = 1.0) -> Variant:
    """A variant with a chance and what a failure costs."""
    exposure = exposure_of([(run_of(hours * 3600, attended=True), 1.0)])
    return Variant(
        pick=pick,
        tally=replace(TALLY, cost=cost),
        exposure=exposure,
        on_time=on_time,
        standard_error=0.003,
    )


@pytest.mark.parametrize(
    ("variants", "code", "best"),
    [
        ([way((), 0.5, 9), way((0,), 0.8, 2)], Says.SURER, 1),
        ([way((), 0.8, 9), way((0,), 0.8, 2)], Says.SAVES, 1),
        ([way((), 0.8, 2), way((0,), 0.5, 1)], Says.WHOLE_SURER, 0),
        ([way((), 0.8, 2), way((0,), 0.8, 9)], Says.WHOLE_PLAIN, 0),
        ([way((), 0.8, 2), Variant(pick=(0,))], Says.ONLY, 0),
        ([Variant(pick=()), Variant(pick=(0,))], Says.NEITHER, 0),
        ([way((), 0.8, 2), way((0,), 0.8, 2, cost=0.5)], Says.SAVES, 1),
        ([way((), 0.8, 9), way((0, 1), 0.797, 2), way((0,), 0.8, 5)], Says.SAVES, 1),
    ],
)
def test_the_verdict(variants: list[Variant], code: Says, best: int) -> None:
    """The chance decides; where it is about the same, hours at risk; then money."""
    found = verdict_of(variants)
    assert (found.code, found.best) == (code, best)


def test_a_way_whose_glue_is_too_weak_is_not_advised() -> None:
    """However sure it is; unless there is no other."""
    weak = Seam(
        plate=0, pieces=(0,), area_mm2=180.0, stress_mpa=5.0, lever_mm=46.0, allowed_mpa=1.0
    )
    glued = replace(way((0, 1), 0.9, 1), seams=(weak,))
    others = [way((), 0.5, 9), glued, way((0,), 0.7, 3)]
    assert verdict_of(others).best == 2
    assert verdict_of([Variant(pick=()), glued]).best == 1


def test_a_panel_on_corner_screws_asks_for_a_boss() -> None:
    """Common practice: 3 mm acrylic on four corner screws flexes; one boss in the middle cures it."""
    mesh = bodies.composite()
    apart = split(mesh, find_plates(mesh, (3.0,)).slabs[:1])
    (give,) = gives(apart, {3.0: ACRYLIC}, Press(limit_mm=0.5))
    assert give.worst.sag_mm > 0.5
    assert len(give.bosses) == 1
    assert give.bosses[0].sag_mm <= 0.5
    assert gives(apart, {3.0: replace(ACRYLIC, youngs_mpa=0.0)}, Press()) == ()


def test_an_even_load_is_told_beside_the_press() -> None:
    """Twice the load, twice as far; none unless one is asked for."""
    mesh = bodies.composite()
    apart = split(mesh, find_plates(mesh, (3.0,)).slabs[:1])
    sags = []
    for load in (0.0, 20.0, 40.0):
        (give,) = gives(apart, {3.0: ACRYLIC}, Press(load_n=load))
        sags.append(give.loaded.sag_mm if give.loaded else None)
    assert sags[0] is None
    assert sags[2] == pytest.approx(2.0 * (sags[1] or 0.0))
    assert (sags[1] or 0.0) > 0.1
