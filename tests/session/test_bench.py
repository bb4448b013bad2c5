"""The open project with its log: telling, undoing, planning the rest."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from fabsched.model.errors import Fault, InputError
from fabsched.model.log import Cure, Event, Meant, Remedy, Sort
from fabsched.model.plan import Kind, Plan
from fabsched.model.project import Work
from fabsched.model.spread import Spread
from fabsched.model.state import State, Stint
from fabsched.session.advice_request import advice_request
from fabsched.session.bench import Bench
from fabsched.session.edits import put, put_all
from fabsched.session.kept_project import Topic
from fabsched.session.log_requests import ReplanRequest, ReplanResponse
from fabsched.session.replanning import first_option
from fabsched.session.sayings import Known, Saying, Verb
from fabsched.session.telling import entry_of
from tests.session.made import NOW, estimated, part_file, response_to

NOW_S = int(NOW.timestamp())
HOUR = 3600


def bench_of(root: Path) -> Bench:
    """A box of a printed lid, with its estimates known, and something to solder."""
    files = [part_file(root / "from", "lid.stl")]
    made = Bench.create(
        root / "box",
        name="Box",
        zone=NOW.tzinfo,  # type: ignore[arg-type] # a zone by name
        deadline=NOW + timedelta(days=2),
        files=files,
        now=NOW,
        cache_folder=root / "cache",
    )
    for request in made.estimate_requests():
        assert made.accept(response_to(request, 2 * HOUR))
    solder = Work(id="solder", name="Solder", minutes=Spread(30, 60, 90))
    made.change("add-work", put_all([solder]))
    return made


def opened(bench: Bench) -> Bench:
    """The same project in another window."""
    other = Bench.open(bench.folder, cache_folder=bench.folder.parent / "cache")
    estimated(other)
    return other


def planned(bench: Bench, hours: float = 0.0) -> Bench:
    """The bench with a plan from so many hours on."""
    request = bench.plan_request(NOW + timedelta(hours=hours), quick=True)
    assert bench.accept(request.run())
    return bench


def say(verb: Verb, block: str, hours: float, **more: object) -> Saying:
    """Something said as it happened."""
    at_s = NOW_S + round(hours * HOUR)
    return Saying(verb=verb, block=block, at_s=at_s, now_s=at_s, **more)  # type: ignore[arg-type] # by name


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A planned box."""
    return planned(bench_of(tmp_path))


def test_nothing_is_written_before_anything_happens(bench: Bench) -> None:
    """A plan alone leaves the project folder as it was."""
    assert not bench.log.entries
    assert sorted(path.name for path in bench.folder.iterdir()) == ["parts", "project.toml"]


def test_the_first_entry_takes_the_plan_in_hand(bench: Bench) -> None:
    """Whoever opens the project later sees what happened, and by which plan it went."""
    bench.tell(say(Verb.START, "lid", 0.5))
    other = opened(bench)
    assert [entry.kind for entry in other.log.entries] == [Event.PLANNED, Event.STARTED]
    plan = bench.log.in_hand
    assert plan
    assert other.log.state.in_hand == plan
    assert set(plan.plan.order) == {"lid", "solder"}
    assert other.log.state.going["lid"].meant.seconds == Spread.exactly(2 * HOUR)


def test_a_plan_keeps_to_what_happened(bench: Bench) -> None:
    """What is done is not planned again, what runs goes on, and the plan before is stayed with."""
    bench.tell(say(Verb.START, "lid", 0.5))
    planned(bench, 1.5)
    found = bench.replanned
    assert found
    assert found.rest.going.keys() == {"lid"}
    assert not found.rest.changes or {c.kind for c in found.rest.changes} <= {
        "starts-later",
        "starts-sooner",
    }
    bench.tell(say(Verb.FINISH, "lid", 2.5))
    bench.tell(say(Verb.FINISH, "lid", 2.6))
    planned(bench, 3)
    assert bench.answer
    assert bench.answer.plan.order == ("solder",)


def test_a_new_plan_outdates_and_others_are_told(bench: Bench) -> None:
    """Telling something outdates the plan, and views hear of it."""
    heard: list[Topic] = []
    bench.subscribe(heard.append)
    bench.tell(say(Verb.START, "lid", 0.5))
    assert heard == [Topic.LOG]
    assert not bench.answer_is_current


def test_undo_goes_through_edits_and_entries_alike(bench: Bench) -> None:
    """The newest first, whichever it is; redo brings both back in turn."""
    bench.tell(say(Verb.START, "lid", 0.5))
    bench.set_deadline(NOW + timedelta(days=3))
    bench.tell(say(Verb.FAIL, "lid", 1.0))
    failed = bench.log.state
    assert bench.undo_label == "log"
    bench.undo()
    assert bench.log.state.going.keys() == {"lid"}
    assert bench.undo_label == "deadline"
    bench.undo()
    assert bench.project.deadline == NOW + timedelta(days=2)
    bench.undo()
    assert not bench.log.state.has_begun
    assert bench.undo_label == "add-work"
    for _ in range(3):
        bench.redo()
    assert bench.project.deadline == NOW + timedelta(days=3)
    assert bench.log.state == failed
    assert bench.redo_label is None


def test_what_was_told_yesterday_can_be_taken_back(bench: Bench) -> None:
    """Undo reaches entries that were written before the project was opened."""
    bench.tell(say(Verb.START, "lid", 0.5))
    other = opened(bench)
    assert other.undo_label == "log"
    other.undo()
    assert not other.log.state.has_begun
    assert other.redo_label == "log"
    other.redo()
    assert other.log.state.going.keys() == {"lid"}


def test_two_windows_see_each_other(bench: Bench) -> None:
    """What one tells, the other takes in when it looks, and neither loses anything."""
    other = opened(bench)
    bench.tell(say(Verb.START, "lid", 0.5))
    other.look_at_log()
    other.tell(say(Verb.FINISH, "lid", 2.5))
    bench.look_at_log()
    assert bench.log.entries == other.log.entries
    assert bench.log.state.uncleared.keys() == {"printer"} or bench.log.state.uncleared


def test_a_failure_has_choices_and_one_undo_takes_the_choice_back(bench: Bench) -> None:
    """Each choice can be planned by itself; the one taken changes the plan, until it is undone."""
    bench.tell(say(Verb.START, "lid", 0.5))
    bench.tell(say(Verb.FAIL, "lid", 1.5, why="came loose"))
    planned(bench, 1.6)
    first, requests = bench.replanned and bench.replanned.first, bench.option_requests()
    assert first
    assert bench.answer
    assert (first.remedy, first.answer) == (requests[0].remedy, bench.answer)
    assert Cure.REPAIR in {request.remedy.cure for request in requests}
    assert requests[0].run().option.answer.odds.scenarios
    before = bench.log.in_hand
    drop = next(r.remedy for r in requests if r.remedy.cure is Cure.DROP)
    bench.choose(drop, NOW + timedelta(hours=1.7))
    planned(bench, 1.7)
    assert "lid" not in bench.answer.plan.order
    assert not bench.option_requests()
    bench.undo()
    assert bench.log.in_hand == before
    planned(bench, 1.7)
    assert "lid" in bench.answer.plan.order


def test_a_correction_changes_when_something_happened(bench: Bench) -> None:
    """Told late, with the moment it really was."""
    entry = bench.tell(say(Verb.START, "lid", 1.5))
    bench.correct(entry.id, say(Verb.START, "", 0.5))
    assert bench.log.state.going["lid"].start_s == NOW_S + HOUR // 2
    with pytest.raises(InputError) as refused:
        bench.correct(entry.id, say(Verb.START, "", 0.7))
    assert refused.value.code is Fault.NO_SUCH_ENTRY


@pytest.mark.parametrize(
    ("saying", "fault"),
    [
        (Saying(verb=Verb.START, at_s=NOW_S + HOUR, now_s=NOW_S), Fault.MOMENT_TO_COME),
        (say(Verb.START, "", 1, share=1.5), Fault.FIELD_OUT_OF_RANGE),
        (say(Verb.START, "", 1, machine="oven"), Fault.NAME_UNKNOWN),
        (say(Verb.START, "", 1, person="nobody"), Fault.NAME_UNKNOWN),
    ],
)
def test_a_correction_is_held_to_what_holds_for_entries(
    bench: Bench, saying: Saying, fault: Fault
) -> None:
    """A wrong correction is refused, and the entry holds as it was."""
    entry = bench.tell(say(Verb.START, "lid", 1.5))
    with pytest.raises(InputError) as refused:
        bench.correct(entry.id, saying)
    assert refused.value.code is fault
    assert bench.log.entries[-1].id == entry.id


def test_a_correction_names_who_it_was(bench: Bench) -> None:
    """The person and the machine can be put right, too."""
    entry = bench.tell(say(Verb.START, "lid", 1.5))
    person = bench.shop.people[0].id
    told = bench.correct(entry.id, say(Verb.START, "", 1.5, person=person))
    assert (told.meant.person, told.meant.machine) == (person, entry.meant.machine)


@pytest.mark.parametrize(
    ("saying", "fault"),
    [
        (say(Verb.START, "lit", 1), Fault.NAME_UNKNOWN),
        (say(Verb.LOSE, "oven", 1, until_s=NOW_S + HOUR), Fault.NAME_UNKNOWN),
        (say(Verb.START, "lid", 1, machine="laser"), Fault.NAME_UNKNOWN),  # no printer
        (say(Verb.START, "lid", 1, machine="home"), Fault.NAME_UNKNOWN),  # no machine
        (say(Verb.START, "lid", 1, person="printer"), Fault.NAME_UNKNOWN),  # nobody
        (say(Verb.DELAY, "lid", 1), Fault.FIELD_MISSING),
        (say(Verb.FAIL, "lid", 1, share=1.5), Fault.FIELD_OUT_OF_RANGE),
        (Saying(verb=Verb.START, block="lid", at_s=NOW_S + 9, now_s=NOW_S), Fault.MOMENT_TO_COME),
    ],
)
def test_what_makes_no_sense_is_refused(bench: Bench, saying: Saying, fault: Fault) -> None:
    """Nothing is written then."""
    with pytest.raises(InputError) as refused:
        bench.tell(saying)
    assert refused.value.code is fault
    assert not bench.log.entries


@pytest.mark.parametrize("block", ["lid", "lid.start", "lid@1", "fit>1>lid", "Lid"])
def test_blocks_are_known_by_all_their_names(bench: Bench, block: str) -> None:
    """A block, a piece or copy of it, or the part itself name the same activity."""
    assert bench.tell(say(Verb.START, block, 1)).subject == "lid"


def test_nothing_ends_before_it_began(bench: Bench) -> None:
    """A slip in the hour is refused instead of taught as a run that took no time."""
    bench.tell(say(Verb.START, "lid", 2))
    with pytest.raises(InputError) as refused:
        bench.tell(say(Verb.FINISH, "lid", 1))
    assert refused.value.code is Fault.BEFORE_START
    assert "lid" in bench.log.state.going
    assert bench.tell(say(Verb.FINISH, "lid", 2)).subject == "lid"


def test_what_is_done_is_not_finished_twice(bench: Bench) -> None:
    """It would count as one more print that went well; a new start makes it possible again."""
    bench.tell(say(Verb.START, "lid", 1))
    bench.tell(say(Verb.FINISH, "lid", 2))
    bench.tell(say(Verb.CLEAR, "lid", 2.1))
    with pytest.raises(InputError) as refused:
        bench.tell(say(Verb.FINISH, "lid", 2.2))
    assert refused.value.code is Fault.DONE_ALREADY
    bench.tell(say(Verb.START, "lid", 2.3))
    assert bench.tell(say(Verb.FINISH, "lid", 3)).kind is Event.FINISHED


def test_work_in_pieces_starts_with_the_first(tmp_path: Path) -> None:
    """Whatever the order of urgency of its pieces is."""
    known = bench_of(tmp_path)
    meant = {f"code~{n}": Meant(name=f"Code {n}/2", items=(("code", 1),)) for n in (2, 1)}
    read = Known(meant=meant, state=State(), shop=known.shop, deadline=known.project.deadline)
    assert entry_of(say(Verb.START, "code", 1), read).subject == "code~1"


def test_one_of_several_runs_is_meant_by_what_goes_on(tmp_path: Path) -> None:
    """A part on several beds: the next one starts; which of two has ended must be said."""
    bench = bench_of(tmp_path)
    lid = next(part for part in bench.project.parts if part.id == "lid")
    bench.change("copies", lambda project: put(project, replace(lid, copies=2, per_run=1)))
    planned(bench)
    assert bench.tell(say(Verb.START, "lid", 1)).subject == "lid-1"
    assert bench.tell(say(Verb.FINISH, "lid", 2)).subject == "lid-1"
    with pytest.raises(InputError) as refused:
        bench.tell(say(Verb.DROP, "Lid 3/2", 2.5))
    assert refused.value.code is Fault.NAME_UNKNOWN
    with pytest.raises(InputError) as refused:
        bench.tell(say(Verb.ACCEPT, "lid", 2.5))
    assert refused.value.code is Fault.NAME_SEVERAL


def test_what_goes_on_is_what_runs_late(tmp_path: Path) -> None:
    """Named by its part, the one copy that is printing ends later; its start is no change any more."""
    bench = bench_of(tmp_path)
    lid = bench.project.parts[0]
    bench.change("edit", put_all([replace(lid, copies=3, per_run=1)]))
    estimated(bench)
    planned(bench)
    bench.tell(say(Verb.START, "lid", 0.1))
    (going,) = bench.log.state.going
    planned(bench, 0.2)
    until_s = NOW_S + 5 * HOUR
    bench.tell(say(Verb.DELAY, "lid", 0.3, until_s=until_s))
    assert bench.log.state.going[going].until_s == until_s
    planned(bench, 0.4)
    found = bench.replanned
    assert found is not None
    assert going not in {change.subject for change in found.rest.changes}
    ends = {b.activity: b.end_s for b in found.answer.course.blocks if b.kind is Kind.RUN}
    assert ends[going] == until_s


def test_what_is_done_otherwise_is_not_meant(tmp_path: Path) -> None:
    """Two parts that the plan prints on one bed: either name means that bed."""
    bench = bench_of(tmp_path)
    extra = part_file(tmp_path / "from", "hinge.stl", "other")
    assert bench.accept(bench.adopt_request([extra]).run())
    estimated(bench)
    planned(bench)
    plan = bench.log.in_hand
    assert plan
    carried = set(plan.plan.order) - plan.plan.dropped
    subject = bench.tell(say(Verb.START, "lid", 1)).subject
    assert subject in carried
    assert "lid" in {part for part, _ in dict(plan.meant)[subject].items}


def test_the_share_of_a_failure_comes_from_its_estimate(bench: Bench) -> None:
    """Half an hour into two hours, a quarter was made."""
    bench.tell(say(Verb.START, "lid", 1))
    assert bench.tell(say(Verb.FAIL, "lid", 1.5)).share == pytest.approx(0.25)


def test_a_cut_that_failed_had_to_be_set_up_first(tmp_path: Path) -> None:
    """Eleven minutes after it was begun, the laser has cut for one of its two."""
    shop = bench_of(tmp_path).shop
    sheet = Meant(name="Sheet", sort=Sort.ATTENDED, seconds=Spread(100, 120, 150), start_s=600)
    going = State(going={"sheet": Stint(subject="sheet", meant=sheet, start_s=NOW_S)})
    known = Known(meant={"sheet": sheet}, state=going, shop=shop, deadline=NOW + timedelta(days=2))
    failed = entry_of(say(Verb.FAIL, "sheet", 11 / 60), known)
    assert failed.share == pytest.approx(0.5)


def test_a_choice_the_plan_does_not_make_is_not_shown_first(bench: Bench) -> None:
    """Making it again stands there at once only where the plan makes it again."""
    bench.tell(say(Verb.START, "lid", 1))
    bench.tell(say(Verb.FAIL, "lid", 1.5))
    found = planned(bench, 1.6).replanned
    assert found
    first = first_option(found.rest, found.ground)
    assert first
    assert first.remedy.cure is Cure.AGAIN
    plan = found.rest.answer.plan
    order = tuple(ident for ident in plan.order if ident != "lid")
    elsewise = replace(found.rest.answer, plan=Plan(order=order, dropped=frozenset({"lid"})))
    assert first_option(replace(found.rest, answer=elsewise), found.ground) is None
    assert first_option(replace(found.rest, trouble=None), found.ground) is None


def test_an_unplanned_project_can_be_told_of(tmp_path: Path) -> None:
    """Without any plan, laying the project out says what its activities mean."""
    bench = bench_of(tmp_path)
    assert not bench.knows_meanings()
    bench.accept_meanings(bench.meanings_request(NOW).run())
    assert bench.tell(say(Verb.START, "lid", 1)).meant.items == (("lid", 1),)


def test_a_plan_that_is_out_of_date_is_not_taken_in_hand(bench: Bench) -> None:
    """Something was told while a plan was being made: it is dropped."""
    request = bench.plan_request(NOW)
    response = request.run()
    bench.tell(say(Verb.START, "lid", 0.5))
    assert not bench.accept(response)
    again = bench.plan_request(NOW + timedelta(hours=1), quick=True)
    assert isinstance(again, ReplanRequest)
    assert isinstance(again.run(), ReplanResponse)


def test_a_deadline_that_has_passed_is_planned_for_all_the_same(bench: Bench) -> None:
    """Once anything has happened, there is a plan even when it is too late."""
    bench.tell(say(Verb.START, "lid", 0.5))
    planned(bench, 50)
    assert bench.answer
    assert bench.answer.odds.on_time == 0


def test_a_removed_part_leaves_its_entries_readable(bench: Bench) -> None:
    """The log says what was meant, after the project has forgotten it."""
    bench.tell(say(Verb.START, "lid", 0.5))
    bench.remove(["lid"])
    assert bench.log.state.going["lid"].meant.name == "Lid"
    planned(bench, 1)
    assert bench.answer
    assert "solder" in bench.answer.plan.order


def test_remedies_survive_the_log(bench: Bench) -> None:
    """A choice is read again with all that planning needs."""
    bench.tell(say(Verb.START, "lid", 0.5))
    bench.tell(say(Verb.FAIL, "lid", 1.0))
    remedy = Remedy(cure=Cure.COUPON, subject="lid", seconds=Spread.exactly(600.0), risk=0.5)
    bench.choose(remedy, NOW + timedelta(hours=1))
    assert opened(bench).log.state.remedies == {"lid": remedy}


def test_once_all_that_is_needed_is_done_no_chance_is_left_to_tell(bench: Bench) -> None:
    """The answer says when it was done, the plan before is no worse, and nothing is advised."""
    page = Work(id="page", name="Page", minutes=Spread(30, 60, 90), needed=False)
    bench.change("add-work", put_all([page]))
    planned(bench)
    bench.tell(say(Verb.START, "lid", 0.5))
    for hours in (2.5, 2.6):
        bench.tell(say(Verb.FINISH, "lid", hours))
    planned(bench, 3)
    assert bench.answer
    assert bench.answer.odds.done_s is None
    bench.tell(say(Verb.FINISH, "solder", 4))
    found = bench.plan_request(NOW + timedelta(days=3), quick=True).run()
    assert isinstance(found, ReplanResponse)
    assert found.answer.plan.order == ("page",)
    assert found.answer.odds.done_s == NOW_S + 4 * HOUR
    assert found.rest.kept_on_time == 1
    request = advice_request(bench, found, NOW + timedelta(days=3), 1)
    assert not request.run().told.advice
