"""Ways to make a part: compared in a worker, told one by one, and taken in one step."""

import pickle
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from fabsched.files.parts import read_part
from fabsched.files.stl import write_stl
from fabsched.model.errors import Fault, InputError
from fabsched.session.compare_request import compare_request
from fabsched.session.project_session import Session
from fabsched.session.way_records import ShownWay, WaysResponse
from fabsched.session.ways import (
    TAKE,
    UNTAKE,
    standing,
    take,
    ways_request,
)
from fabsched.session.wording import edit
from tests.advise import bodies
from tests.session.made import BERLIN, DEADLINE, NOW


class Following:
    """Takes what is found on the way."""

    def __init__(self) -> None:
        """Nothing yet."""
        self.found: list[object] = []

    def report(self, done: float, stage: str) -> None:
        """Ignore it."""

    def stopped(self) -> bool:
        """Never."""
        return False

    def tell(self, what: object) -> None:
        """Keep it, as another process would get it."""
        self.found.append(pickle.loads(pickle.dumps(what)))  # noqa: S301 - what we have just written

    def enough(self) -> bool:
        """Never."""
        return False


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """A project with one bracket of two plates."""
    write_stl(tmp_path / "bracket.stl", bodies.bracket())
    made = Session.create(
        tmp_path / "box",
        name="Box",
        zone=BERLIN,
        deadline=DEADLINE,
        files=[tmp_path / "bracket.stl"],
        now=NOW,
        cache_folder=tmp_path / "cache",
    )
    for request in made.estimate_requests():
        assert made.accept(request.run())
    return made


def asked(session: Session, pick: tuple[int, ...] | None, watch: Following) -> WaysResponse:
    """The comparison, of one way alone unless None is picked."""
    return ways_request(compare_request(session, "bracket", NOW), pick=pick).run(watch)


def test_every_way_is_told_before_the_end(session: Session) -> None:
    """What is told on the way is what the response holds in the end, the whole part first."""
    watch = Following()
    response = asked(session, None, watch)
    told = [each for each in watch.found if isinstance(each, ShownWay)]
    assert [each.pick for each in told] == [way.pick for way in response.ways]
    assert response.ways[0].pick == ()
    assert len(response.plates) == 2
    for way in response.ways:
        assert way.figures is not None
        assert 0.0 <= way.on_time <= 1.0
        assert bool(way.bodies) == bool(way.files) == bool(way.pick)
    assert response.ways[response.best].figures is not None


def test_taking_a_way_can_be_undone_in_one_step(session: Session) -> None:
    """Files are written, the parts are there, the planner has its fork; one undo takes it back."""
    before = session.project
    (way,) = asked(session, (0, 1), Following()).ways
    take(session, "bracket", way)
    (fork,) = session.project.forks
    assert standing(session.project, "bracket") == ("plates", set(way.items))
    assert [each.items[0] for each in fork.ways] == ["bracket", "bracket_plate1"]
    for part in session.project.parts:
        read_part(session.folder / part.file, part.unit)
    assert session.undo_label == TAKE
    session.undo()
    assert session.project == before
    assert standing(session.project, "bracket") == ("whole", set())


def test_it_can_be_left_to_the_planner_and_taken_out_again(session: Session) -> None:
    """A fork with no way chosen; the new parts can be estimated; printing it whole removes them."""
    before = session.project
    (whole,) = asked(session, (), Following()).ways
    (way,) = asked(session, (0,), Following()).ways
    take(session, "bracket", way, decided=False)
    assert standing(session.project, "bracket")[0] == ""
    requests = session.estimate_requests()
    assert {request.part.id for request in requests} == {"bracket_plate1", "bracket_piece1"}
    for request in requests:
        response = request.run()
        assert not response.errors
        assert response.estimates
    take(session, "bracket", whole)
    assert session.project == before
    assert session.undo_label == UNTAKE
    assert edit(UNTAKE) != UNTAKE


def test_what_cannot_be_made_is_not_taken(session: Session) -> None:
    """The reason comes back as it was told; nothing changes."""
    before = session.project
    fault = InputError(Fault.NO_PLATES, "parts/bracket.stl")
    with pytest.raises(InputError) as caught:
        take(session, "bracket", ShownWay(pick=(0,), hindered=fault))
    assert caught.value is fault
    assert session.project == before


def test_a_file_that_is_no_solid_is_refused(session: Session, tmp_path: Path) -> None:
    """Prepared prints and drawings hold no plates."""
    program = tmp_path / "box" / "parts" / "bracket.gcode"
    program.write_text("G21\nG90\nM83\nG1 X0 Y0 F600\nG1 X10 Y0 E1\nM2\n")
    request = replace(compare_request(session, "bracket", NOW), path=program)
    with pytest.raises(InputError) as caught:
        ways_request(request).run()
    assert caught.value.code is Fault.PLATES_NEED_SOLID


def test_joints_can_be_otherwise(session: Session) -> None:
    """Measures given with the request are those the pieces are made with."""
    request = compare_request(session, "bracket", NOW)
    joinery = replace(request.joinery, screw="M4")
    assert ways_request(request, joinery=joinery).joinery.screw == "M4"


def test_the_first_way_brings_no_solver() -> None:
    """Plans are told apart without it, so that nobody waits until it is there; plates come later."""
    script = "import sys, fabsched.session.ways_making\nassert not {'ortools', 'scipy.sparse'} & set(sys.modules)"
    subprocess.run([sys.executable, "-c", script], check=True)  # noqa: S603 - our own script


def test_records_bring_no_compiler() -> None:
    """A window that takes them in stays light."""
    script = (
        "import sys, fabsched.session.ways, fabsched.session.foresight_request\n"
        "import fabsched.schedule.chains\n"
        "assert not {'numba', 'scipy', 'manifold3d', 'ezdxf'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", script], check=True)  # noqa: S603 - our own script
