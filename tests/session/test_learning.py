"""From the log of a project to the next estimate and the next plan."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from fabsched.estimate.raising import CURLING, MOST, raised, times_between, times_failing
from fabsched.files.experience_sqlite import FILE, ExperienceFile
from fabsched.files.log_home import mark_of
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import EASES, PACES, Moves, Route, Warp, WarpLevel
from fabsched.model.experience import ChanceTold, LookSeen, RunSeen, TimeTold, WorkSeen
from fabsched.model.log import Entry, Event, InHand, Meant, Sort
from fabsched.model.plan import Plan
from fabsched.model.project import Gate, Part, Project, Work
from fabsched.model.shop import Laser, Person, Printer, Shop
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import AGAIN, Choice, Hands, Run, Site, Station, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.odds.truths import PUBLISHED
from fabsched.session.bench import Bench
from fabsched.session.experience import Experiences
from fabsched.session.kept_project import Topic
from fabsched.session.knowledge import NOTHING_KNOWN, knowledge_of
from fabsched.session.learning import as_computed, learn_from
from fabsched.session.log_lessons import Setting, lessons_of
from fabsched.session.project_session import Session
from fabsched.session.working_hours import open_seconds
from tests.session import made

PRINTER = Printer(id="printer", name="Printer", place="home", bed_mm=(200.0, 200.0, 200.0))
LASER = Laser(
    id="laser",
    name="Laser",
    place="shop",
    bed_mm=(600.0, 400.0),
    start_minutes=10.0,
    clear_minutes=2.0,
    watch_minutes=2.0,
    clean_minutes=6.0,
)
ME = Person(id="me", name="Me", base="home", hours="Mo-Su 09:00-21:00")
SHOP = Shop(printers=(PRINTER,), lasers=(LASER,), people=(ME,))
PROJECT = Project(
    name="Box",
    zone=made.BERLIN,
    deadline=made.DEADLINE,
    parts=(
        Part(id="lid", name="Lid", file="lid.stl"),
        Part(id="plate", name="Plate", file="plate.dxf", route=Route.CUT, material="acrylic"),
    ),
    works=(
        Work(id="wire", name="Wiring", minutes=Spread(60.0, 90.0, 180.0), skill="solder"),
        Work(id="extra", name="Extra", minutes=Spread(10.0, 10.0, 10.0), needed=False),
    ),
    gates=(Gate(id="fit", name="Test fit", minutes=Spread(5.0, 10.0, 20.0), chance=0.3),),
)
BEGIN_S = int(made.NOW.timestamp())
LID = Meant(
    name="Lid",
    sort=Sort.RUN,
    items=(("lid", 2),),
    machine="printer",
    seconds=Spread(6000.0, 7000.0, 8000.0),
    clear_s=300,
)
WIRE = Meant(
    name="Wiring",
    sort=Sort.WORK,
    items=(("wire", 1),),
    person="me",
    seconds=Spread(3600.0, 5400.0, 10800.0),
    foretold=Spread(4000.0, 7000.0, 12000.0),
)
ROWS = ((3000.0,) * len(EASES),) * len(PACES)


def told(kind: Event, after_s: int, subject: str, meant: Meant, **facts: object) -> Entry:
    """An entry so many seconds after the beginning, not numbered yet."""
    moment = BEGIN_S + after_s
    entry = Entry(kind=kind, moment_s=moment, noted_s=moment, subject=subject, meant=meant)
    return replace(entry, **facts)  # type: ignore[arg-type] # fields by name


def log(*entries: Entry) -> list[Entry]:
    """Entries numbered as they were written."""
    return [replace(entry, id=i) for i, entry in enumerate(entries, start=1)]


def printed(seconds: int, end: Event = Event.FINISHED, **facts: object) -> list[Entry]:
    """The log of one print."""
    return log(
        told(Event.STARTED, 0, "lid", LID),
        told(end, seconds, "lid", LID, **facts),
    )


def setting(seconds: float | None = 3500.0, after_s: int = 0) -> Setting:
    """A setting in which one lid was computed to take so long."""
    computed = {}
    if seconds is not None:
        estimate = made.estimate_of("printer", "PLA", seconds)
        estimate = replace(
            estimate,
            breakdown_s={"heating": 500.0, "walls": seconds - 500.0},
            moves=Moves(fixed_s=500.0, moving_s=ROWS),
        )
        computed = {"lid": {"printer": estimate}}
    return Setting(project=PROJECT, shop=SHOP, computed=computed, now_s=BEGIN_S + after_s)


def seen_runs(count: int, failed: Callable[[int], bool], broke_s: float) -> list[RunSeen]:
    """So many prints of two hours, of which some broke off after a while."""
    return [
        RunSeen(
            key=f"run/{i}",
            at_s=i,
            machine="printer",
            route=Route.PRINT,
            material="PLA",
            estimated_s=7200.0,
            ran_s=broke_s if failed(i) else 7200.0,
            failed=failed(i),
        )
        for i in range(count)
    ]


def runs(entries: Sequence[Entry], given: Setting | None = None) -> list[RunSeen]:
    """What a log says of runs."""
    return [one for one in lessons_of(entries, given or setting()) if isinstance(one, RunSeen)]


def test_a_finished_print() -> None:
    """Two lids on one bed: what was computed before learning, how long it ran, and what was told."""
    run, time = lessons_of(printed(9000), setting())
    assert isinstance(run, RunSeen)
    assert (run.estimated_s, run.ran_s) == (6500.0, 9000.0)
    assert (run.machine, run.route, run.material) == ("printer", Route.PRINT, "PLA")
    assert (run.failed, run.timed, run.at_s) == (False, True, BEGIN_S + 9000)
    assert run.moves == Moves(fixed_s=500.0, moving_s=((6000.0,) * 3,) * 7)
    assert isinstance(time, TimeTold)
    assert (time.told, time.actual_s) == (LID.seconds, 9000.0)


@pytest.mark.parametrize(
    ("end", "share", "ran_s", "failed"),
    [
        (Event.FAILED, 0.25, 0.25 * 6500.0, True),
        (Event.FAILED, None, 1800.0, True),
        (Event.CANCELLED, None, 1800.0, False),
        (Event.CLEARED, None, 1800.0, False),
    ],
)
def test_prints_that_tell_no_time(
    end: Event, share: float | None, ran_s: float, failed: bool
) -> None:
    """What failed, was broken off, or was only found done says how long it ran, not how fast."""
    (run,) = runs(printed(1800, end, share=share))
    assert (run.ran_s, run.failed, run.timed) == (ran_s, failed, False)


def test_a_print_found_done_in_the_morning() -> None:
    """Nobody saw it end: it counts as a good one, and no longer than was computed."""
    (run,) = runs(printed(40_000, Event.CLEARED))
    assert (run.ran_s, run.failed, run.timed) == (6500.0, False, False)


def test_a_print_found_bad_later_has_failed_once() -> None:
    """A part that was taken off and found wrong afterwards counts as one failure, not two runs."""
    entries = [
        *printed(7000),
        told(Event.CLEARED, 7100, "lid", LID),
        told(Event.FAILED, 9000, "lid", LID),
    ]
    (run,) = runs(log(*entries))
    assert (run.failed, run.timed, run.ran_s) == (True, False, 6500.0)


def test_another_estimate_than_now() -> None:
    """Where the file has changed since, what was told then counts, without speeds."""
    (run,) = runs(printed(9000), setting(seconds=1500.0))
    assert run.estimated_s == 7000.0
    assert run.moves is None


def test_a_time_told_before_anything_was_learnt() -> None:
    """What the log says was computed counts; else a time told by less knowledge is no other file."""
    slow = [replace(run, ran_s=2.0 * run.estimated_s, key=str(i)) for i, run in enumerate(ten())]
    given = replace(setting(), known=knowledge_of(slow))
    assert runs(printed(9000), given)[0].estimated_s == 6500.0
    meant = replace(LID, computed_s=6000.0)
    started = told(Event.STARTED, 0, "lid", meant)
    (run,) = runs(log(started, told(Event.FINISHED, 9000, "lid", meant)), given)
    assert (run.estimated_s, run.moves) == (6000.0, None)


def test_a_run_of_risky_parts_is_told_as_one() -> None:
    """How much its parts raise failures goes with what is learnt, so that it is not counted twice."""
    plain = setting()
    warp = Warp(level=WarpLevel.HIGH, span_mm=150, contact_mm2=900, thickness_mm=4, corners=4)
    (mine,) = plain.computed["lid"].values()
    curling = replace(mine, warp=warp, contact_mm2=900.0, height_mm=10.0)
    risky = replace(plain, computed={"lid": {"printer": curling}})
    entries = printed(7600)
    assert [run.raised for run in runs(entries, plain)] == [times_failing(mine)]
    assert [run.raised for run in runs(entries, risky)] == [CURLING[WarpLevel.HIGH]]


def ten() -> list[RunSeen]:
    """As many prints as are enough to be sure of a factor."""
    return 10 * runs(printed(6500))


def test_a_part_nobody_knows_teaches_nothing() -> None:
    """What is no longer in the project, and machines that are gone, are left out."""
    assert runs(printed(9000), replace(setting(), project=replace(PROJECT, parts=()))) == []
    assert runs(printed(9000), replace(setting(), shop=Shop())) == []


def test_an_attended_cut_counts_its_failures_only() -> None:
    """A short cut is mostly hands' time: it says whether it failed, not how fast the laser is."""
    cut = Meant(
        sort=Sort.ATTENDED, items=(("plate", 1),), machine="laser", seconds=Spread.exactly(600.0)
    )
    entries = log(told(Event.STARTED, 0, "cut", cut), told(Event.FINISHED, 1900, "cut", cut))
    (run,) = runs(entries)
    assert (run.route, run.timed, run.ran_s, run.estimated_s) == (Route.CUT, False, 700.0, 600.0)


def test_work_leaves_out_the_night() -> None:
    """Wiring from Friday 20:00 to Saturday 10:00 took two hours of a person up from 9 to 21."""
    start = 2 * HOUR_S
    entries = log(
        told(Event.STARTED, start, "wire", WIRE),
        told(Event.FINISHED, start + 14 * HOUR_S, "wire", WIRE),
    )
    given = replace(setting(), open_s=open_seconds(SHOP, made.BERLIN))
    work, time = lessons_of(entries, given)
    assert isinstance(work, WorkSeen)
    assert (work.kind, work.took_s) == ("solder", 2.0 * HOUR_S)
    assert work.expected == Spread(3600.0, 5400.0, 10800.0)
    assert isinstance(time, TimeTold)
    assert (time.told, time.actual_s) == (WIRE.foretold, 2.0 * HOUR_S)


@pytest.mark.parametrize(
    ("from_h", "to_h", "worked_h"),
    [
        (2.0, 4.0, 2.0),  # 20 to 22 o'clock: an hour longer than up
        (-11.0, -8.0, 3.0),  # 7 to 10: two hours earlier
        (5.0, 6.0, 1.0),  # 23 to 24: all of it
        (2.0, 14.0 - 1.5, 1.0),  # 20 to half past 8 in the morning: slept in between
    ],
)
def test_work_goes_on_beyond_the_hours(from_h: float, to_h: float, worked_h: float) -> None:
    """Somebody up from 9 to 21 who goes on for a while has worked for all of it."""
    start_s, end_s = (BEGIN_S + round(HOUR_S * hour) for hour in (from_h, to_h))
    assert open_seconds(SHOP, made.BERLIN)("me", start_s, end_s) == worked_h * HOUR_S


def test_pieces_of_work_count_together() -> None:
    """Two halves of one work are one lesson; a piece not done yet waits."""
    half = replace(WIRE, share=0.5, seconds=Spread(1800.0, 2700.0, 5400.0))
    entries = log(
        told(Event.STARTED, 0, "wire~1", half),
        told(Event.FINISHED, 4000, "wire~1", half),
        told(Event.STARTED, 4000, "wire~2", half),
        told(Event.FINISHED, 7000, "wire~2", half),
    )
    (work, _) = lessons_of(entries, setting())
    assert isinstance(work, WorkSeen)
    assert (work.took_s, work.expected.likely) == (7000.0, 5400.0)
    (first, _) = lessons_of(entries[:3], setting())
    assert isinstance(first, WorkSeen)
    assert (first.took_s, first.expected.likely) == (4000.0, 2700.0)


def test_a_gate_tells_of_faults_each_time() -> None:
    """Found once, then passed: the second look is told with less of a chance, as it is planned."""
    fit = Meant(name="Fit", sort=Sort.GATE, items=(("fit", 1),), seconds=Spread(300, 600, 1200))
    entries = log(
        told(Event.STARTED, 0, "fit", fit),
        told(Event.FOUND, 600, "fit", fit),
        told(Event.STARTED, 5000, "fit", fit),
        told(Event.FINISHED, 5600, "fit", fit),
    )
    looks = [one for one in lessons_of(entries, setting()) if isinstance(one, LookSeen)]
    assert [(look.chance, look.found) for look in looks] == [
        (0.3, True),
        (pytest.approx(0.3 * AGAIN), False),
    ]


def test_an_early_gate_takes_from_a_later_ones_chance() -> None:
    """What the early look leaves is what the later one is told with; skipped, it takes nothing."""
    early = Gate(
        id="look", name="Look", minutes=Spread(5, 5, 5), chance=0.2, eases="fit", left=0.25
    )
    given = replace(setting(), project=replace(PROJECT, gates=(*PROJECT.gates, early)))
    entries = []
    for number, ident in enumerate(("look", "fit")):
        meant = Meant(name=ident, sort=Sort.GATE, items=((ident, 1),))
        entries += [told(Event.STARTED, 1000 * number, ident, meant)]
        entries += [told(Event.FINISHED, 1000 * number + 300, ident, meant)]
    for some, chance in ((entries, 0.3 * 0.25), (entries[2:], 0.3)):
        looks = [one for one in lessons_of(log(*some), given) if isinstance(one, LookSeen)]
        assert looks[-1].chance == pytest.approx(chance)


def in_hand(on_time: float, *order: str) -> Entry:
    """A plan taken in hand before anything happens."""
    deadline_s = int(PROJECT.deadline.timestamp())
    plan = InHand(plan=Plan(order=order), on_time=on_time, deadline_s=deadline_s)
    return told(Event.PLANNED, -10, "", Meant(), plan=plan)


def chances(entries: Sequence[Entry], after_s: int = 0) -> list[ChanceTold]:
    """What a log says of chances."""
    found = lessons_of(entries, setting(after_s=after_s))
    return [one for one in found if isinstance(one, ChanceTold)]


def test_the_first_plans_chance_is_judged() -> None:
    """Before the end nothing is said; done in time it came true; after the deadline it did not."""
    late_s = int(timedelta(days=3).total_seconds())
    open_log = log(in_hand(0.7, "lid", "extra"), told(Event.STARTED, 0, "lid", LID))
    assert chances(open_log) == []
    (missed,) = chances(open_log, late_s)
    assert (missed.chance, missed.came_true) == (0.7, False)
    cleared = told(Event.CLEARED, 8000, "lid", LID)
    ended = log(*open_log, told(Event.FINISHED, 7000, "lid", LID), in_hand(0.9, "lid"), cleared)
    (kept,) = chances(ended)
    assert (kept.chance, kept.came_true) == (0.7, True)


def test_a_print_nobody_told_to_be_taken_off_is_done() -> None:
    """The last thing made is seldom told of further; finished in time, the project was in time."""
    begun = [in_hand(0.7, "lid"), told(Event.STARTED, 0, "lid", LID)]
    (kept,) = chances(log(*begun, told(Event.FINISHED, 7000, "lid", LID)))
    assert (kept.chance, kept.came_true) == (0.7, True)
    late_s = int(timedelta(days=3).total_seconds())
    (missed,) = chances(log(*begun, told(Event.FAILED, 7000, "lid", LID)), late_s)
    assert not missed.came_true


def test_planning_the_rest_again_does_not_take_a_chance_back() -> None:
    """Once all is done a plan for the rest names nothing; the project has been done in time still."""
    ended = [in_hand(0.7, "lid", "wire"), told(Event.STARTED, 0, "lid", LID)]
    ended += [told(Event.FINISHED, 7000, "lid", LID), told(Event.CLEARED, 8000, "lid", LID)]
    half = log(*ended, in_hand(0.8, "wire"))
    assert chances(half) == []
    wired = [told(Event.STARTED, 8000, "wire", WIRE), told(Event.FINISHED, 12_000, "wire", WIRE)]
    for rest in ((), (in_hand(1.0),)):
        (kept,) = chances(log(*ended, in_hand(0.8, "wire"), *wired, *rest))
        assert (kept.chance, kept.came_true, kept.at_s) == (0.7, True, BEGIN_S + 12_000)


def test_a_log_is_known_by_its_first_entry() -> None:
    """Adding to a log does not make it another one; another log is another one."""
    entries = printed(9000)
    assert mark_of(entries) == mark_of([*entries, told(Event.CLEARED, 9999, "lid", LID, id=3)])
    assert mark_of(entries) == mark_of(list(reversed(entries)))
    assert mark_of(entries) != mark_of(log(told(Event.STARTED, 1, "lid", LID)))
    assert mark_of([]) == ""
    assert lessons_of([], setting()) == ()


def learnt(folder: Path) -> Experiences:
    """The experiences of a fresh user."""
    return Experiences(ExperienceFile(folder / "user" / FILE))


def taken_in(
    experiences: Experiences, entries: Sequence[Entry], given: Setting | None = None
) -> int:
    """Let a log be learnt from."""
    given = given or setting()
    return experiences.learn_from(
        entries,
        project=given.project,
        shop=given.shop,
        computed=given.computed,
        now_s=given.now_s,
    )


def test_learning_twice_counts_once(tmp_path: Path) -> None:
    """The same log again changes nothing, not even read by another window."""
    experiences = learnt(tmp_path)
    assert taken_in(experiences, printed(9000)) == 2
    assert taken_in(experiences, printed(9000)) == 0
    assert taken_in(learnt(tmp_path), printed(9000)) == 0
    assert len(experiences.seen) == 2
    assert experiences.knowledge.failing(PRINTER).known == 1


def test_corrected_and_withdrawn_entries(tmp_path: Path) -> None:
    """An entry that stands for a wrong one replaces what that said; withdrawn, nothing is left."""
    experiences = learnt(tmp_path)
    taken_in(experiences, printed(9000))
    right = told(Event.FINISHED, 8000, "lid", LID, id=3, replaces=2)
    assert taken_in(experiences, [*printed(9000), right]) == 2
    (run,) = [one for one in experiences.seen if isinstance(one, RunSeen)]
    assert run.ran_s == 8000.0
    out = told(Event.WITHDRAWN, 8100, "", Meant(), id=4, of=(1, 2, 3))
    taken_in(experiences, [*printed(9000), right, out])
    assert experiences.seen == ()


def test_what_was_computed_then_stays(tmp_path: Path) -> None:
    """A part changed after it was printed does not change what its print taught."""
    experiences = learnt(tmp_path)
    taken_in(experiences, printed(9000))
    assert taken_in(experiences, printed(9000), setting(seconds=4000.0)) == 0
    assert taken_in(experiences, printed(9000), setting(seconds=500.0)) == 0


def test_a_wrong_entry_can_be_forgotten(tmp_path: Path) -> None:
    """What the maker takes out counts no longer, however often the log is read, until recalled."""
    experiences = learnt(tmp_path)
    taken_in(experiences, printed(9000))
    keys = [one.key for one in experiences.seen]
    assert experiences.forget(keys) == 2
    assert taken_in(experiences, printed(9000)) == 0
    assert experiences.seen == ()
    assert experiences.forgotten == set(keys)
    assert experiences.recall(keys) == 2
    assert len(experiences.seen) == 2


def test_a_file_that_cannot_be_read_stops_nobody(tmp_path: Path) -> None:
    """Where what was learnt cannot be had, nothing is known, and it is said why."""
    path = tmp_path / FILE
    path.mkdir()
    experiences = Experiences(ExperienceFile(path))
    assert experiences.seen == ()
    (trouble,) = experiences.noticed
    assert isinstance(trouble, InputError)
    assert trouble.code is Fault.FILE_UNREADABLE


def opened(root: Path, user: Path) -> Session:
    """A new project with one estimated lid, opened by a user."""
    folder = made.session_of(root, "lid.stl").folder
    cache_folder, experience_file = root / "cache", user / FILE
    return made.estimated(
        Session.open(folder, cache_folder=cache_folder, experience_file=experience_file)
    )


def test_estimates_of_a_session_follow_its_log(tmp_path: Path) -> None:
    """Ten prints that took 1.4 times as long bring the estimate within 5 %; computed ones stay."""
    session = opened(tmp_path, tmp_path)
    printer = session.shop.printers[0].id
    heard: list[Topic] = []
    session.subscribe(heard.append)
    meant = replace(LID, items=(("lid", 1),), machine=printer, seconds=Spread.exactly(600.0))
    entries = [
        entry
        for turn in range(10)
        for entry in (
            told(Event.STARTED, 1000 * turn, "lid", meant),
            told(Event.FINISHED, 1000 * turn + 840, "lid", meant),
        )
    ]
    assert learn_from(session, log(*entries), made.NOW) == 20
    estimate = session.estimates["lid"][printer]
    assert estimate.seconds.likely == pytest.approx(840.0, rel=0.05)
    assert (estimate.known, session.computed["lid"][printer].seconds.likely) == (10, 600.0)
    assert Topic.ESTIMATES in heard
    guess = {"lid": Spread(400.0, 600.0, 900.0)}
    rough = session.experiences.all_rough(guess, session.project, session.shop)["lid"]
    assert rough.likely == pytest.approx(840.0, rel=0.05)
    assert session.plan_request(made.NOW).estimates["lid"][printer] is estimate
    again = Session.open(
        session.folder, cache_folder=tmp_path / "cache", experience_file=tmp_path / FILE
    )
    assert again.estimates["lid"][printer] == estimate
    assert learn_from(again, log(*entries), made.NOW) == 0


def weekend() -> Weekend:
    """A print, wiring and a gate."""
    always = Windows.always(0, 10**6)
    spread = Spread(100.0, 200.0, 400.0)
    return Weekend(
        zone="UTC",
        begin_s=0,
        deadline_s=10**5,
        horizon_s=10**6,
        hands=(Hands(id="me", name="Me", base="home", windows=always),),
        sites=(Site(id="home", name="Home", windows=always),),
        stations=(Station(id="printer", name="Printer", place="home", windows=always),),
        activities=(
            Run(
                id="lid",
                name="Lid",
                choices=(Choice("printer", spread),),
                attended=False,
                start_s=60,
                clear_s=60,
                fail_start=0.06,
                fail_hour=0.015,
                cargo=(("lid", 1),),
            ),
            Task(id="wire", name="Wiring", place="home", people=("me",), seconds=spread, of="wire"),
            Task(id="fit", name="Fit", place="home", people=("me",), seconds=spread, of="fit"),
        ),
    )


def test_nothing_known_leaves_a_weekend_alone() -> None:
    """Without a log a plan is made for what the shop file and the project say."""
    assert NOTHING_KNOWN.weekend(weekend(), PROJECT, SHOP) == weekend()
    assert NOTHING_KNOWN.truths == PUBLISHED


def test_a_weekend_takes_what_the_log_says() -> None:
    """Runs fail as often as was seen, what the part adds to it kept; work takes as long as it did."""
    seen = seen_runs(40, lambda i: i < 12, 300.0)
    works = [
        WorkSeen(
            key=f"work/{i}",
            at_s=i,
            kind="solder",
            expected=Spread(100.0, 200.0, 300.0),
            took_s=400.0,
        )
        for i in range(20)
    ]
    known = knowledge_of([*seen, *works])
    after = known.weekend(weekend(), PROJECT, SHOP)
    lid, wire, fit = after.activities
    assert isinstance(lid, Run)
    assert isinstance(wire, Task)
    assert isinstance(fit, Task)
    failing = known.failing(PRINTER, "PLA")
    assert failing.start == pytest.approx(
        13 / (1 / 0.03 + 40), rel=0.01
    )  # a few broke while running
    assert (lid.fail_start, lid.fail_hour) == (0.06, 0.015)
    there = lid.at(lid.choices[0])
    assert there.fail_start == pytest.approx(raised(failing.start, times_between(0.03, 0.06)))
    assert there.fail_hour == pytest.approx(failing.hour)
    assert wire.seconds.likely == pytest.approx(400.0, rel=0.05)
    assert 200.0 < fit.seconds.likely < wire.seconds.likely
    assert known.truths.work.sigma < PUBLISHED.work.sigma
    assert known.truths.failing.sigma < PUBLISHED.failing.sigma


def test_no_part_is_certain_to_fail_on_a_bad_machine() -> None:
    """Half of all starts fail: a part of the worst shape still starts one time in sixteen.

    1 - (1 - p)^4 for a rate four times as high; four times the chance would be more than one.
    """
    seen = seen_runs(4000, lambda i: i % 2 == 1, 60.0)
    week = weekend()
    lid = week.activity("lid")
    assert isinstance(lid, Run)
    worst = replace(lid, fail_start=raised(PRINTER.fail_start, MOST))
    (after,) = (
        knowledge_of(seen).weekend(replace(week, activities=(worst,)), PROJECT, SHOP).activities
    )
    assert isinstance(after, Run)
    assert 1 - after.at(after.choices[0]).fail_start == pytest.approx(1 / 16, rel=0.1)


def test_sessions_of_one_user_share_what_they_learn(tmp_path: Path) -> None:
    """What one project taught is known to the next one opened."""
    first = opened(tmp_path / "first", tmp_path)
    (printer,) = first.estimates["lid"]
    meant = replace(LID, items=(("lid", 1),), machine=printer, seconds=Spread.exactly(600.0))
    entries = log(
        told(Event.STARTED, 50_000, "lid", meant), told(Event.FINISHED, 50_700, "lid", meant)
    )
    learn_from(first, entries, made.NOW)
    other = opened(tmp_path / "other", tmp_path)
    assert other.estimates["lid"][printer].known == 1
    assert opened(tmp_path / "third", tmp_path / "somebody").estimates["lid"][printer].known == 0


def test_work_is_foretold_as_the_odds_take_it(tmp_path: Path) -> None:
    """A plan in hand notes P10, P50 and P90 of each work; what runs mean stays as computed."""
    session = opened(tmp_path, tmp_path)
    (_, wire), (_, lid) = as_computed(session, (("wire", WIRE), ("lid", LID)))
    foretold = NOTHING_KNOWN.works.foretold(Spread(3600.0, 5400.0, 10800.0))
    assert wire.foretold == foretold
    assert foretold.likely == pytest.approx(1.25 * (3600 + 6 * 5400 + 10800) / 8)
    assert lid.foretold is None


def test_a_deadline_that_passed_in_silence_is_judged(tmp_path: Path) -> None:
    """Whoever misses a deadline and tells nothing more is not left out of the odds' score."""
    folder = made.session_of(tmp_path, "lid.stl").folder
    bench = Bench.open(folder, cache_folder=tmp_path / "c", experience_file=tmp_path / FILE)
    deadline_s = BEGIN_S + 2000
    plan = InHand(plan=Plan(order=("lid",)), on_time=0.7, deadline_s=deadline_s)
    bench.log.take_in_hand(plan, BEGIN_S)
    bench.log.tell(told(Event.STARTED, 1000, "lid", LID))
    bench.learn()
    assert not bench.experiences.seen
    bench.learn(made.NOW + timedelta(seconds=2001))
    (chance,) = bench.experiences.seen
    assert isinstance(chance, ChanceTold)
    assert (chance.chance, chance.came_true) == (0.7, False)
