"""The open project: changes, undo, what is to be computed, and what is out of date."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from fabsched.files.project_edit import write_project
from fabsched.files.project_toml import PROJECT_FILE, read_project
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.plan import Answer, Course, Odds, Plan, Solver
from fabsched.model.project import Project, Work
from fabsched.model.spread import Spread
from fabsched.model.weekend import Weekend
from fabsched.session.edits import put_all
from fabsched.session.kept_project import Topic
from fabsched.session.project_session import Session
from fabsched.session.requests import EstimateResponse, PlanRequest, PlanResponse, RoughResponse
from tests.session.made import (
    BERLIN,
    DEADLINE,
    NOW,
    estimated,
    part_file,
    reopened,
    response_to,
    session_of,
)


def add_files(session: Session, paths: Sequence[Path]) -> tuple[InputError, ...]:
    """Have files copied and taken in, as a window does; why some of them were refused."""
    response = session.adopt_request(paths).run()
    assert session.accept(response)
    return response.refused


def _answer(request: PlanRequest) -> PlanResponse:
    """A plan of nothing, as a worker would give it."""
    now_s = request.now_s
    weekend = Weekend(
        zone="UTC",
        begin_s=now_s,
        deadline_s=now_s + 1,
        horizon_s=now_s + 2,
        hands=(),
        sites=(),
        stations=(),
        activities=(),
    )
    odds = Odds(on_time=1, standard_error=0, p10_s=1, p50_s=1, p90_s=1, scenarios=1)
    answer = Answer(
        plan=Plan(order=()),
        course=Course(blocks=(), done_s={}, finish_s=now_s),
        odds=odds,
        solver=Solver(status="optimal", bound_s=None, gap=None),
        method="none",
    )
    return PlanResponse(id=request.id, answer=answer, weekend=weekend)


def test_a_new_project_holds_copies_and_defaults(tmp_path: Path) -> None:
    """Part files are copied; meshes are printed, drawings cut, from what the shop has first."""
    session = session_of(tmp_path, "Top Lid.stl", "base.dxf")
    lid, base = session.project.parts
    assert (lid.id, lid.name, lid.file) == ("top-lid", "Top lid", "parts/Top Lid.stl")
    assert (lid.route, lid.material) == (Route.PRINT, session.shop.spools[0].material)
    assert (base.route, base.material) == (Route.CUT, session.shop.sheets[0].material)
    assert base.thickness_mm == session.shop.sheets[0].thickness_mm
    assert (session.folder / lid.file).read_text() == "Top Lid.stl"
    assert session.undo_label is None
    assert read_project(session.folder) == session.project


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("gone.stl", Fault.FILE_MISSING),
        ("empty.stl", Fault.FILE_EMPTY),
        ("text.txt", Fault.FILE_KIND_UNKNOWN),
        ("folder.stl", Fault.NOT_A_FILE),
    ],
)
def test_nothing_is_made_of_a_bad_file(tmp_path: Path, name: str, code: Fault) -> None:
    """One file that is no part, and the project folder is not even begun."""
    part_file(tmp_path, "empty.stl", "")
    part_file(tmp_path, "text.txt")
    (tmp_path / "folder.stl").mkdir()
    files = [part_file(tmp_path, "good.stl"), tmp_path / name]
    with pytest.raises(InputError) as caught:
        Session.create(
            tmp_path / "new", name="", zone=BERLIN, deadline=DEADLINE, files=files, now=NOW
        )
    assert caught.value.code is code
    assert not (tmp_path / "new").exists()


def test_a_used_folder_or_a_past_deadline_is_refused(tmp_path: Path) -> None:
    """A project is made in an empty folder, for a time to come."""
    part_file(tmp_path / "used", "notes.txt")
    for folder, deadline, code in (
        (tmp_path / "used", DEADLINE, Fault.FOLDER_NOT_EMPTY),
        (tmp_path / "new", NOW, Fault.DEADLINE_PAST),
    ):
        with pytest.raises(InputError) as caught:
            Session.create(folder, name="", zone=BERLIN, deadline=deadline, files=[], now=NOW)
        assert caught.value.code is code


def test_every_change_is_on_disk_at_once(tmp_path: Path) -> None:
    """After a change, an undo and a redo the file says what the session says."""
    session = session_of(tmp_path, "lid.stl")
    before = session.project
    session.set_deadline(DEADLINE + timedelta(hours=1))
    after = session.project
    assert reopened(session).project == after != before
    session.undo()
    assert reopened(session).project == session.project == before
    session.redo()
    assert reopened(session).project == session.project == after


def test_undo_goes_back_step_by_step(tmp_path: Path) -> None:
    """Steps are taken back the newest first, by their labels; a new one forgets what was undone."""
    session = session_of(tmp_path, "lid.stl", "foot.stl")
    start = session.project
    session.remove(["lid"])
    session.set_deadline(DEADLINE + timedelta(hours=1))
    assert (session.undo_label, session.redo_label) == ("deadline", None)
    session.undo()
    assert (session.undo_label, session.redo_label) == ("remove", "deadline")
    session.undo()
    session.undo()  # nothing more to take back
    assert session.project == start
    session.remove(["foot"])
    assert session.redo_label is None
    session.redo()  # nothing to do again
    assert [part.id for part in session.project.parts] == ["lid"]


def test_an_unsound_change_changes_nothing(tmp_path: Path) -> None:
    """A change that breaks a rule is refused; project, file and history stay."""
    session = session_of(tmp_path, "lid.stl")
    before, text = session.project, (session.folder / PROJECT_FILE).read_bytes()
    work = Work(id="wire", name="Wire", minutes=Spread.exactly(5), after=("lit",))
    with pytest.raises(InputError) as caught:
        session.change("put", put_all([work]))
    assert caught.value.code is Fault.NAME_UNKNOWN
    assert session.project == before
    assert (session.folder / PROJECT_FILE).read_bytes() == text
    assert session.undo_label is None


def test_a_change_of_nothing_is_no_step(tmp_path: Path) -> None:
    """Setting what is set already tells nobody and adds nothing to undo."""
    session = session_of(tmp_path, "lid.stl")
    told: list[Topic] = []
    session.subscribe(told.append)
    session.set_deadline(DEADLINE)
    assert (told, session.undo_label) == ([], None)


def test_removing_takes_every_mention_along(tmp_path: Path) -> None:
    """What waited for the removed part no longer does, and undo brings both back."""
    session = session_of(tmp_path, "lid.stl")
    work = Work(id="wire", name="Wire", minutes=Spread.exactly(5), after=("lid",))
    session.change("put", put_all([work]))
    session.remove(["lid"])
    assert not session.project.works[0].after
    assert (session.folder / "parts" / "lid.stl").exists()
    session.undo()
    assert session.project.works[0].after == ("lid",)


def test_undo_brings_the_file_back_to_the_letter(tmp_path: Path) -> None:
    """What was taken out comes back where it stood, with its comments, and goes again the same way."""
    session = session_of(tmp_path, "lid.stl", "foot.stl", "base.stl")
    path = session.folder / PROJECT_FILE
    first, *tables = path.read_text("utf-8").split("[[part]]")
    mixed = "# the work\n[[work]]   # soon\nid = 'wire'\nminutes = [1, 2, 3]\nafter = ['lid']\n\n"
    path.write_text(f"{first}{mixed}" + "".join(f"# here\n[[part]]{t}" for t in tables), "utf-8")
    session.sync()
    before = path.read_bytes()
    session.remove(["lid", "wire"])
    after = path.read_bytes()
    session.undo()
    assert path.read_bytes() == before != after
    session.redo()
    assert path.read_bytes() == after


def test_undo_leaves_what_others_wrote_in_between(tmp_path: Path) -> None:
    """A comment put in after the change outlives the step back."""
    session = session_of(tmp_path, "lid.stl", "foot.stl")
    session.remove(["lid"])
    path = session.folder / PROJECT_FILE
    path.write_text(f"# mine\n{path.read_text('utf-8')}", "utf-8")
    session.undo()
    assert path.read_text("utf-8").startswith("# mine\n")
    assert [part.id for part in session.project.parts] == ["lid", "foot"]


def test_what_others_wrote_is_taken_in_as_a_step(tmp_path: Path) -> None:
    """A change made in an editor is kept under the next change of ours, and can be undone."""
    session = session_of(tmp_path, "lid.stl")
    before = session.project
    path = session.folder / PROJECT_FILE
    path.write_text(path.read_text("utf-8").replace("copies = 1", "copies = 7   # many"), "utf-8")
    session.set_deadline(DEADLINE + timedelta(hours=1))
    assert session.project.parts[0].copies == 7
    assert "# many" in path.read_text("utf-8")
    session.undo()
    assert session.undo_label == "outside"
    session.undo()
    assert session.project == before


def test_a_broken_file_is_not_written_over(tmp_path: Path) -> None:
    """While the file on disk cannot be read, a change is refused and the file left alone."""
    session = session_of(tmp_path, "lid.stl")
    path = session.folder / PROJECT_FILE
    path.write_text("half a li")
    with pytest.raises(InputError) as caught:
        session.set_deadline(DEADLINE + timedelta(hours=1))
    assert caught.value.code is Fault.TOML_MALFORMED
    assert path.read_text() == "half a li"


def test_clashing_names_are_settled(tmp_path: Path) -> None:
    """Another file of the same name gets a number; the same file again is one file of two parts."""
    session = session_of(tmp_path, "lid.stl")
    other = part_file(tmp_path / "other", "lid.stl", "another lid")
    assert add_files(session, [other, other]) == ()
    assert [part.id for part in session.project.parts] == ["lid", "lid-2", "lid-2-2"]
    assert [part.file for part in session.project.parts] == [
        "parts/lid.stl",
        "parts/lid-2.stl",
        "parts/lid-2.stl",
    ]
    assert (session.folder / "parts" / "lid.stl").read_text() == "lid.stl"


def test_files_already_inside_are_not_copied(tmp_path: Path) -> None:
    """A file that lies in the project folder becomes a part where it is."""
    session = session_of(tmp_path)
    inside = part_file(session.folder / "drawings", "a.svg")
    assert add_files(session, [inside]) == ()
    assert session.project.parts[0].file == "drawings/a.svg"


def test_good_files_are_added_beside_bad_ones(tmp_path: Path) -> None:
    """Refused files are told one by one; the others are one step of undo."""
    session = session_of(tmp_path)
    good = [part_file(tmp_path, name, name) for name in ("a.stl", "b.obj")]
    refused = add_files(session, [good[0], tmp_path / "gone.stl", good[1]])
    assert [error.code for error in refused] == [Fault.FILE_MISSING]
    assert [part.id for part in session.project.parts] == ["a", "b"]
    session.undo()
    assert session.project.parts == ()


def test_files_copied_for_another_project_are_not_taken_in(tmp_path: Path) -> None:
    """The window has gone on to another project meanwhile: nothing changes there."""
    session, other = session_of(tmp_path / "one"), session_of(tmp_path / "other", "lid.stl")
    response = session.adopt_request([part_file(tmp_path, "arm.stl")]).run()
    assert not other.accept(response)
    assert [part.id for part in other.project.parts] == ["lid"]


def test_first_figures_are_asked_for_until_they_or_the_estimate_are_there(tmp_path: Path) -> None:
    """Solids only; the same request comes until it is answered; a file that changes asks anew."""
    session = session_of(tmp_path, "lid.stl", "base.svg")
    (request,) = session.rough_requests()
    assert session.rough_requests() == (request,)
    seconds = Spread(60, 90, 150)
    assert session.accept(RoughResponse(id=request.id, key=request.key, seconds=seconds))
    assert session.roughs == {"lid": seconds}
    assert session.rough_requests() == ()
    part_file(session.folder / "parts", "lid.stl", "another lid")
    assert session.roughs == {}
    assert len(session.rough_requests()) == 1
    assert estimated(session).rough_requests() == ()


def test_only_what_changed_is_estimated_again(tmp_path: Path) -> None:
    """Names, counts and order leave estimates alone; content and material do not."""
    session = estimated(session_of(tmp_path, "lid.stl", "foot.stl"))
    assert session.estimate_requests() == ()
    lid, foot = session.project.parts
    session.change("put", put_all([replace(lid, name="Top", copies=4, after=("foot",))]))
    assert session.estimate_requests() == ()
    session.change("put", put_all([replace(foot, material="PETG")]))
    assert [request.part.id for request in session.estimate_requests()] == ["foot"]
    part_file(session.folder / "parts", "lid.stl", "new content")
    assert [request.part.id for request in session.estimate_requests()] == ["lid", "foot"]
    session.undo()
    assert [request.part.id for request in session.estimate_requests()] == ["lid"]


def test_the_same_request_comes_until_it_is_answered(tmp_path: Path) -> None:
    """Asking twice gives the same ids, so that nobody computes anything twice."""
    session = session_of(tmp_path, "lid.stl")
    first, second = session.estimate_requests(), session.estimate_requests()
    assert first == second
    assert session.accept(response_to(first[0]))
    assert not session.accept(response_to(first[0]))  # answered already


def test_estimates_outlive_the_session(tmp_path: Path) -> None:
    """A project opened again knows what was estimated before, findings included."""
    session = estimated(session_of(tmp_path, "lid.stl", "base.svg"))
    again = reopened(session)
    assert again.estimate_requests() == ()
    assert again.estimates == session.estimates
    assert set(again.estimates) == {"lid", "base"}
    assert again.findings == session.findings != ()


def test_a_damaged_cache_costs_time_only(tmp_path: Path) -> None:
    """Whatever is in the cache folder, the worst is another estimate."""
    session = estimated(session_of(tmp_path, "lid.stl", "foot.stl", "arm.stl"))
    damages = (b"", b'{"printer": {"route": "print"}}', b"[1]")
    for path, damage in zip(sorted((tmp_path / "cache").iterdir()), damages, strict=True):
        path.write_bytes(damage)
    assert len(reopened(session).estimate_requests()) == 3


def test_a_part_that_cannot_be_made_is_a_problem(tmp_path: Path) -> None:
    """Missing files, unknown materials and failed estimates are told per part, and stop planning."""
    session = session_of(tmp_path, "lid.stl", "foot.stl", "arm.stl")
    lid, foot, _ = session.project.parts
    session.change("put", put_all([replace(foot, material="cheese")]))
    (session.folder / lid.file).unlink()
    (request,) = session.estimate_requests()
    error = InputError(Fault.NO_TRIANGLES, request.where)
    response = EstimateResponse(
        id=request.id, part="arm", key=request.key, estimates={}, errors=(error,)
    )
    assert session.accept(response)
    codes = {ident: errors[0].code for ident, errors in session.problems.items()}
    assert codes == {
        "lid": Fault.FILE_MISSING,
        "foot": Fault.MATERIAL_UNKNOWN,
        "arm": Fault.NO_TRIANGLES,
    }
    assert session.problems["lid"][0].where == "parts/lid.stl"
    with pytest.raises(InputError):
        session.plan_request(NOW)
    assert reopened(session).estimate_requests() != ()  # a failure is not remembered for ever


def test_planning_needs_something_to_plan_and_time(tmp_path: Path) -> None:
    """Nothing to do and a passed deadline are refused before anything is computed."""
    session = session_of(tmp_path)
    with pytest.raises(InputError) as nothing:
        session.plan_request(NOW)
    assert nothing.value.code is Fault.NOTHING_TO_PLAN
    assert add_files(session, [part_file(tmp_path, "lid.stl")]) == ()
    with pytest.raises(ValueError, match="estimates are missing"):
        session.plan_request(NOW)
    with pytest.raises(InputError) as late:
        estimated(session).plan_request(DEADLINE)
    assert late.value.code is Fault.DEADLINE_PAST


def test_an_answer_out_of_date_is_dropped(tmp_path: Path) -> None:
    """Only the last plan asked for counts, and only as long as nothing has changed."""
    session = estimated(session_of(tmp_path, "lid.stl"))
    first, second = session.plan_request(NOW), session.plan_request(NOW, seed=1)
    assert not session.accept(_answer(first))
    assert session.accept(_answer(second))
    assert session.answer_is_current
    third = session.plan_request(NOW)
    session.set_deadline(DEADLINE + timedelta(hours=1))
    assert not session.accept(_answer(third))
    assert session.answer is not None  # the old one is still there to be shown
    assert not session.answer_is_current


def test_subscribers_hear_what_changed(tmp_path: Path) -> None:
    """Each change tells its topic, until the subscriber has had enough."""
    session = session_of(tmp_path, "lid.stl")
    told: list[Topic] = []
    leave = session.subscribe(told.append)
    estimated(session)
    session.accept(_answer(session.plan_request(NOW)))
    session.remove(["lid"])
    (session.folder / "shop.toml").write_text('[[place]]\nid = "home"\n')
    session.reload_shop()
    leave()
    session.undo()
    assert told == [Topic.ESTIMATES, Topic.ANSWER, Topic.PROJECT, Topic.SHOP]
    assert [place.id for place in session.shop.places] == ["home"]


def test_a_project_opens_by_its_file_as_well(tmp_path: Path) -> None:
    """The folder and the `project.toml` in it open the same project."""
    session = session_of(tmp_path, "lid.stl")
    assert Session.open(session.folder / PROJECT_FILE).project == session.project


def test_zones_of_deadlines_are_the_projects(tmp_path: Path) -> None:
    """A deadline given elsewhere is shown in the project's zone; a bare one is meant there."""
    session = session_of(tmp_path)
    session.set_deadline(DEADLINE.astimezone(ZoneInfo("America/New_York")) + timedelta(hours=1))
    assert session.project.deadline == DEADLINE + timedelta(hours=1)
    assert session.project.deadline.tzinfo == BERLIN
    session.set_deadline(DEADLINE.replace(tzinfo=None))
    assert session.project.deadline.timestamp() == DEADLINE.timestamp()


def test_a_project_written_elsewhere_is_the_same(tmp_path: Path, sample: Path) -> None:
    """The sample opens with all its items, from a folder nobody may write to."""
    session = Session.open(sample, cache_folder=tmp_path)
    assert len(session.project.items) == len(read_project(sample).items)
    write_project(tmp_path / "copy", session.project)
    assert isinstance(Session.open(tmp_path / "copy", cache_folder=tmp_path).project, Project)
