"""A way to make a part is put into the project in one step that can be undone."""

from dataclasses import replace
from pathlib import Path

import pytest

from fabsched.files.stl import write_stl
from fabsched.model.errors import Fault, InputError
from fabsched.model.progress import UNWATCHED
from fabsched.session.compare_request import CompareResponse, compare_request
from fabsched.session.comparing import compare_part
from fabsched.session.plate_choice import LABEL, choose
from fabsched.session.project_session import Session
from fabsched.session.wording import edit
from tests.advise import bodies
from tests.session.made import BERLIN, DEADLINE, NOW


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


def asked(session: Session, pick: tuple[int, ...]) -> CompareResponse:
    """The comparison of one way alone."""
    return replace(compare_request(session, "bracket", NOW), pick=pick).run()


def test_choosing_can_be_undone_in_one_step(session: Session) -> None:
    """Files are written, the parts are there, the planner has its fork; one undo takes it back."""
    before = session.project
    comparison = asked(session, (0, 1)).comparison
    choose(session, comparison, 0)
    (fork,) = session.project.forks
    assert fork.chosen == "plates"
    assert [way.items[0] for way in fork.ways] == ["bracket", "bracket_plate1"]
    for part in session.project.parts:
        assert (session.folder / part.file).exists()
    assert session.undo_label == LABEL
    assert edit(LABEL) != LABEL
    session.undo()
    assert session.project == before


def test_it_can_be_left_to_the_planner(session: Session) -> None:
    """A fork with no way chosen, and the new parts can be estimated from their files."""
    choose(session, asked(session, (0,)).comparison, 0, decided=False)
    (fork,) = session.project.forks
    assert fork.chosen == ""
    requests = session.estimate_requests()
    assert {request.part.id for request in requests} == {"bracket_plate1", "bracket_piece1"}
    for request in requests:
        response = request.run()
        assert not response.errors
        assert response.estimates


def test_the_whole_part_makes_nothing_new(session: Session) -> None:
    """Printing it whole is what the project says already."""
    comparison = asked(session, ()).comparison
    with pytest.raises(ValueError, match="makes nothing"):
        choose(session, comparison, 0)


def test_a_file_that_is_no_solid_is_refused(session: Session, tmp_path: Path) -> None:
    """Prepared prints and drawings hold no plates."""
    program = tmp_path / "box" / "parts" / "bracket.gcode"
    program.write_text("G21\nG90\nM83\nG1 X0 Y0 F600\nG1 X10 Y0 E1\nM2\n")
    request = replace(compare_request(session, "bracket", NOW), path=program)
    with pytest.raises(InputError) as caught:
        compare_part(request, UNWATCHED)
    assert caught.value.code is Fault.PLATES_NEED_SOLID
