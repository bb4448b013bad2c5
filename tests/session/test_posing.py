"""After a failure: another pose of the part, from the choice to the bed that is put out."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
import trimesh

from fabsched.files.stl import write_stl
from fabsched.model.errors import Cancelled
from fabsched.model.log import Cure, Event
from fabsched.model.progress import Watch
from fabsched.model.weekend import Run
from fabsched.session.asking_poses import pose_requests
from fabsched.session.bench import Bench
from fabsched.session.edits import put_all
from fabsched.session.export_request import ExportRequest
from fabsched.session.log_requests import PoseResponse, ReplanResponse
from fabsched.session.sayings import Saying, Verb
from tests.estimate.bodies import box
from tests.session.made import NOW

HOUR = 3600
UPRIGHT, FLAT = (12.0, 40.0, 90.0), (40.0, 90.0, 12.0)
"""Extents of the tower as drawn, and as it holds best, whichever way it lies on the bed."""


def made(root: Path) -> Bench:
    """A tower that stands on its smallest side, and a plate, estimated and planned."""
    parts = root / "from"
    parts.mkdir()
    bodies = {"tower.stl": box(*UPRIGHT), "plate.stl": box(40, 40, 8)}
    for name, body in bodies.items():
        write_stl(parts / name, body)
    bench = Bench.create(
        root / "box",
        name="Box",
        zone=NOW.tzinfo,  # type: ignore[arg-type] # a zone by name
        deadline=NOW + timedelta(days=2),
        files=[parts / name for name in bodies],
        now=NOW,
        cache_folder=root / "cache",
    )
    for request in bench.estimate_requests():
        assert bench.accept(request.run())
    return planned(bench, 0.0)


def planned(bench: Bench, hours: float) -> Bench:
    """The bench with a plan from so many hours on."""
    assert bench.accept(bench.plan_request(NOW + timedelta(hours=hours), quick=True).run())
    return bench


def failed(bench: Bench, part: str = "tower") -> None:
    """The run of a part has failed half an hour after its start, and the rest is planned."""
    for verb, minutes in ((Verb.START, 30), (Verb.FAIL, 60)):
        at_s = int(NOW.timestamp()) + 60 * minutes
        bench.tell(Saying(verb=verb, block=part, at_s=at_s, now_s=at_s))
    planned(bench, 1.1)


def _trouble(bench: Bench) -> str:
    assert bench.replanned is not None
    assert bench.replanned.rest.trouble is not None
    return bench.replanned.rest.trouble.subject


def posed(bench: Bench) -> tuple[PoseResponse, ...]:
    """Other poses of everything that failed, taken in."""
    found = tuple(request.run() for request in pose_requests(bench, bench.replanned))
    for response in found:
        bench.accept_poses(response)
    return found


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """The bench after the bed with the tower has failed; nothing is chosen yet."""
    bench = made(tmp_path_factory.mktemp("posing"))
    failed(bench)
    return bench


@pytest.fixture(scope="module")
def found(bench: Bench) -> PoseResponse:
    """The other poses of the tower."""
    (response,) = [r for r in posed(bench) if r.options]
    return response


def test_only_what_holds_better_is_offered(found: PoseResponse) -> None:
    """A tower may lie down; a plate that lies already has no better pose."""
    options = found.options
    assert options
    assert {option.remedy.part for option in options} == {"tower"}
    assert all(option.remedy.cure is Cure.POSE for option in options)
    assert sorted(options[0].size_mm or ()) == pytest.approx(sorted(FLAT))
    assert (options[0].size_mm or (0, 0, 0))[2] == pytest.approx(12)
    assert 0.6 <= options[0].remedy.risk < 1


def test_it_is_planned_in_full_with_its_own_time_and_material(
    bench: Bench, found: PoseResponse
) -> None:
    """Time and mass are those of an estimate in the new pose, not of the old one."""
    option = found.options[0]
    estimates = next(iter(found.estimates.values()))
    machine = next(iter(estimates.values()))
    tower, plate = (next(iter(bench.estimates[i].values())) for i in ("tower", "plate"))
    assert machine.mass_g != tower.mass_g
    assert option.answer.odds.scenarios >= 1000
    cargo = dict(_run(bench).cargo)
    wanted = (machine.mass_g or 0) + (plate.mass_g or 0) * ("plate" in cargo)
    assert option.mass_g == pytest.approx(wanted)
    assert option.machine_s < 1.05 * (
        machine.seconds.likely + ("plate" in cargo) * plate.seconds.likely
    )


def _run(bench: Bench) -> Run:
    assert bench.replanned is not None
    run = bench.replanned.weekend.activity(_trouble(bench))
    assert isinstance(run, Run)
    return run


def test_choosing_turns_the_part_and_one_undo_turns_it_back(
    bench: Bench, found: PoseResponse, tmp_path: Path
) -> None:
    """Estimates are there at once, the bed put out shows the pose, the project file stays as it was."""
    text = (bench.folder / "project.toml").read_text()
    before = bench.estimates["tower"]
    remedy = found.options[0].remedy
    now = NOW + timedelta(hours=1.2)
    bench.choose(remedy, now)
    assert _turn(bench) == remedy.turn_deg
    assert not bench.estimate_requests()
    assert bench.estimates["tower"] != before
    planned(bench, 1.2)
    assert bench.replanned is not None
    assert bench.replanned.rest.trouble is None
    assert bench.answer is not None
    assert _heights(bench, tmp_path) == pytest.approx([12.0], abs=0.01)
    assert (bench.folder / "project.toml").read_text() == text

    bench.undo()
    assert _turn(bench) == (0.0, 0.0, 0.0)
    assert bench.estimates["tower"] == before
    planned(bench, 1.2)
    assert _trouble(bench)


def _turn(bench: Bench) -> tuple[float, float, float]:
    return next(part.turn_deg for part in bench.project.parts if part.id == "tower")


def _heights(bench: Bench, target: Path) -> list[float]:
    """Heights of the beds with the tower, read from their files by another library."""
    assert bench.answer is not None
    assert bench.weekend is not None
    written = ExportRequest(
        project=bench.project,
        shop=bench.shop,
        estimates=bench.estimates,
        weekend=bench.weekend,
        answer=bench.answer,
        folder=bench.folder,
        target=target / "out",
        now_s=int(NOW.timestamp()),
    ).run()
    beds = [f for f in written.written if f.path.suffix == ".stl" and "tower" in f.path.stem]
    return [float(trimesh.load(bed.path).extents[2]) for bed in beds]


def test_it_is_what_would_be_planned(bench: Bench, found: PoseResponse) -> None:
    """The weekend a choice was weighed on is that which is left once it was taken."""
    option = found.options[0]
    bench.choose(option.remedy, NOW + timedelta(hours=1.1))
    planned(bench, 1.1)
    assert bench.replanned is not None
    shown, real = option.answer.odds, bench.replanned.answer.odds
    assert real.on_time == pytest.approx(shown.on_time, abs=0.03)
    assert abs((real.p50_s or 0) - (shown.p50_s or 0)) < HOUR / 2
    bench.undo()
    planned(bench, 1.1)


def test_the_log_alone_says_so(bench: Bench, found: PoseResponse) -> None:
    """Whoever opens the project in another window has the part turned as well, and can undo it."""
    bench.choose(found.options[0].remedy, NOW + timedelta(hours=1.2))
    other = Bench.open(bench.folder, cache_folder=bench.folder.parent / "cache")
    assert _turn(other) == found.options[0].remedy.turn_deg
    assert not other.estimate_requests()
    other.undo()
    bench.look_at_log()
    assert _turn(bench) == (0.0, 0.0, 0.0)
    planned(bench, 1.1)


def test_an_edit_of_something_else_leaves_the_pose_to_the_log(
    bench: Bench, found: PoseResponse
) -> None:
    """A new name goes into the file, the pose does not; a pose chosen by hand counts more."""
    bench.choose(found.options[0].remedy, NOW + timedelta(hours=1.2))
    part = next(part for part in bench.project.parts if part.id == "tower")
    bench.change("edit", put_all([replace(part, name="Mast")]))
    assert "turn_deg" not in (bench.folder / "project.toml").read_text()
    assert _turn(bench) == found.options[0].remedy.turn_deg
    bench.change("turn", put_all([replace(part, turn_deg=(0.0, 180.0, 0.0))]))
    assert _turn(bench) == (0.0, 180.0, 0.0)
    for _ in range(3):
        bench.undo()
    assert bench.log.entries[-1].kind is Event.WITHDRAWN
    assert _turn(bench) == (0.0, 0.0, 0.0)
    planned(bench, 1.1)


def test_a_pose_that_failed_can_be_left_for_another(bench: Bench, found: PoseResponse) -> None:
    """It fails again as it lies: nothing holds better, so that no pose is offered."""
    bench.choose(found.options[0].remedy, NOW + timedelta(hours=1.2))
    planned(bench, 1.2)
    for verb, hours in ((Verb.START, 1.4), (Verb.FAIL, 1.6)):
        at_s = int(NOW.timestamp()) + round(HOUR * hours)
        bench.tell(Saying(verb=verb, block="tower", at_s=at_s, now_s=at_s))
    planned(bench, 1.7)
    assert _trouble(bench)
    assert not [option for response in posed(bench) for option in response.options]
    for _ in range(3):
        bench.undo()
    planned(bench, 1.1)


def test_it_can_be_stopped(bench: Bench) -> None:
    """The maker need not wait for it."""

    class Stopped(Watch):
        def report(self, done: float, stage: str) -> None:
            """Nobody listens."""

        def stopped(self) -> bool:
            """At once."""
            return True

    request = pose_requests(bench, bench.replanned)[0]
    with pytest.raises(Cancelled):
        request.run(Stopped())


def test_nothing_to_turn(bench: Bench) -> None:
    """No poses are asked for without trouble."""
    assert not pose_requests(bench, None)
    assert isinstance(bench.replanned, ReplanResponse)
