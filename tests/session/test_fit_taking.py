"""Changes that would make a weekend fit, carried out: the shop and the project become what was weighed."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from manifold3d import Manifold

from fabsched.advise.fits import Fit, Lever
from fabsched.advise.levers import Changed, levers, put_to
from fabsched.advise.plates.frames import mesh_of
from fabsched.files.project_edit import write_project
from fabsched.files.stl import write_stl
from fabsched.model.plan import Plan
from fabsched.model.project import Fork, Part, Project, Way, Work
from fabsched.model.spread import Spread
from fabsched.model.units import DAY_S, HOUR_S
from fabsched.model.weekend import Site, Weekend
from fabsched.session.fit_taking import can_take, take_fit
from fabsched.session.planning import laid_out
from fabsched.session.project_session import Session
from tests.session.made import BERLIN, DEADLINE, NOW

SHOP = """\
[[place]]
id = "home"
[[place]]
id = "lab"
name = "Lab"
hours = "Fr 18:00-20:00; Sa 10:00-16:00"
[[travel]]
between = ["home", "lab"]
minutes = 15
[[person]]
id = "me"
name = "Me"
base = "home"
hours = "Mo-Su 09:00-12:30,13:30-23:00"
skills = ["solder"]
[[printer]]
id = "printer"
place = "home"
kit = "medium"
"""
WORK = Work(id="join", name="Join", minutes=Spread.exactly(60), place="lab", skill="solder")
PART = Part(id="lid", name="Lid", file="parts/lid.stl", unit="mm", minutes=Spread(170, 180, 190))
EXTRA = Work(id="extra", name="Extra", minutes=Spread.exactly(60), needed=False)
OTHER = Work(id="glue", name="Glue", minutes=Spread.exactly(30))
FORK = Fork(
    id="way",
    name="Way",
    chosen="one",
    ways=(
        Way(id="one", name="One", items=("join",)),
        Way(id="two", name="Two", items=("glue",)),
    ),
)


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """An open project of a print, an hour in a lab, and an hour nobody needs."""
    folder = tmp_path / "box"
    (folder / "parts").mkdir(parents=True)
    write_stl(folder / "parts" / "lid.stl", mesh_of(Manifold.cube((60, 40, 8))))
    (folder / "shop.toml").write_text(SHOP)
    project = Project(
        name="Box",
        zone=BERLIN,
        deadline=DEADLINE,
        parts=(PART,),
        works=(WORK, EXTRA, OTHER),
        forks=(FORK,),
    )
    write_project(folder, project)
    return Session.open(folder, cache_folder=tmp_path / "cache", experience_file=tmp_path / "x")


def weekend_of(session: Session) -> Weekend:
    """What planning sees."""
    for request in session.estimate_requests():
        session.accept(request.run())
    return laid_out(session.plan_request(NOW), int(NOW.timestamp()))


def asked_for(weekend: Weekend) -> Mapping[Lever, list[Changed]]:
    """Every change that can be seen from the weekend, by its kind."""
    plan = Plan(order=tuple(activity.id for activity in weekend.activities))
    found: dict[Lever, list[Changed]] = {}
    for change in levers(weekend, plan):
        found.setdefault(change.fit.code, []).append(change)
    return found


def test_longer_hours_are_those_that_were_weighed(session: Session) -> None:
    """The place is open when it was weighed to be, that day alone; undo closes it again."""
    weekend = weekend_of(session)
    changes = asked_for(weekend)[Lever.HOURS]
    assert {change.fit.subject for change in changes} == {"lab"}
    assert len(changes) >= 3
    for change in changes:
        assert take_fit(session, weekend, change.fit)
        assert weekend_of(session).sites == change.weekend.sites
        session.undo()
        assert weekend_of(session) == weekend


def test_whoever_works_longer_is_up_when_that_was_weighed(session: Session) -> None:
    """An hour more on one day alone; undo takes it back."""
    weekend = weekend_of(session)
    changes = asked_for(weekend)[Lever.AWAKE]
    assert changes
    for change in changes:
        assert take_fit(session, weekend, change.fit)
        assert weekend_of(session).hands == change.weekend.hands
        session.undo()
        assert weekend_of(session) == weekend


def test_hours_a_calendar_stands_against_have_no_step(session: Session, tmp_path: Path) -> None:
    """What is entered would change nothing, so nothing is offered."""
    weekend = weekend_of(session)
    fit = asked_for(weekend)[Lever.HOURS][0].fit
    stamp = "%Y%m%dT%H%M%SZ"
    start, end = (
        datetime.fromtimestamp(moment, UTC).strftime(stamp)
        for moment in (fit.from_s - HOUR_S, fit.until_s + HOUR_S)
    )
    event = f"BEGIN:VEVENT\nUID:1\nDTSTART:{start}\nDTEND:{end}\nEND:VEVENT"
    calendar = f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:x\n{event}\nEND:VCALENDAR\n"
    (tmp_path / "box" / "lab.ics").write_text(calendar)
    shut = SHOP.replace('name = "Lab"', 'name = "Lab"\nbusy = "lab.ics"')
    (tmp_path / "box" / "shop.toml").write_text(shut)
    session.reload_shop()
    assert not can_take(session, weekend, fit)
    assert not take_fit(session, weekend, fit)
    assert session.undo_label is None


def test_a_helper_comes_when_it_was_weighed(session: Session) -> None:
    """Somebody with the same skills is in the shop, in the hours of that day; undo lets them go."""
    weekend = weekend_of(session)
    for change in asked_for(weekend)[Lever.HANDS]:
        assert take_fit(session, weekend, change.fit)
        assert session.shop.people[-1].skills == ("solder",)
        now = weekend_of(session)
        assert [h.windows for h in now.hands] == [h.windows for h in change.weekend.hands]
        session.undo()
        assert weekend_of(session) == weekend


def test_a_second_machine_takes_the_same_runs(session: Session) -> None:
    """Runs have as many machines to choose from as was weighed."""
    weekend = weekend_of(session)
    (change,) = asked_for(weekend)[Lever.MACHINE]
    assert take_fit(session, weekend, change.fit)
    now = weekend_of(session)
    assert [station.place for station in now.stations] == ["home", "home"]
    assert len({station.name for station in now.stations}) == 2
    session.undo()
    assert len(session.shop.printers) == 1


def test_start_deadline_way_and_what_is_left_out_are_edits(session: Session) -> None:
    """Each is one step of the project that undo takes back."""
    before, weekend = session.project, weekend_of(session)
    moment_s = int(NOW.timestamp()) + DAY_S
    take_fit(session, weekend, Fit(code=Lever.START, from_s=moment_s))
    assert session.project.start == datetime.fromtimestamp(moment_s, UTC)
    take_fit(session, weekend, Fit(code=Lever.DEADLINE, until_s=moment_s))
    assert session.project.deadline == datetime.fromtimestamp(moment_s, UTC)
    take_fit(session, weekend, Fit(code=Lever.WAY, subject="two", name="Way: Two"))
    assert session.project.forks[0].chosen == "two"
    take_fit(session, weekend, Fit(code=Lever.DROP, subject="extra"))
    assert "extra" not in {work.id for work in session.project.works}
    for _ in range(4):
        assert session.undo_label == "take-advice"
        session.undo()
    assert session.project == before


def _known(weekend: Weekend, site: Site) -> Site:
    """A place as far as its hours were known before: a later deadline looks further ahead."""
    span = weekend.begin_s, weekend.horizon_s
    return replace(site, windows=site.windows.clipped(*span))


def test_a_set_is_one_step(session: Session) -> None:
    """Project and shop change together, hours of one place on two days add up; undo takes all back."""
    weekend = weekend_of(session)
    asked = asked_for(weekend)
    longer = {change.fit.from_s // DAY_S: change.fit for change in asked[Lever.HOURS]}
    parts = (
        *list(longer.values())[:2],
        asked[Lever.MACHINE][0].fit,
        asked[Lever.HANDS][0].fit,
        Fit(code=Lever.DROP, subject="extra", name="Extra"),
        Fit(code=Lever.DEADLINE, size_s=900, until_s=weekend.deadline_s + 900),
    )
    some = Fit(code=Lever.SET, parts=parts)
    assert len({part.from_s for part in parts[:2]}) == 2
    assert can_take(session, weekend, some)
    assert take_fit(session, weekend, some)
    changed, wanted = weekend_of(session), put_to(weekend, some)
    assert [_known(weekend, site) for site in changed.sites] == [
        _known(weekend, site) for site in wanted.sites
    ]
    assert changed.deadline_s == wanted.deadline_s
    assert len(changed.hands) == len(weekend.hands) + 1
    assert len(changed.stations) == len(weekend.stations) + 1
    assert "extra" not in {activity.id for activity in changed.activities}
    session.undo()
    assert weekend_of(session) == weekend
    session.redo()
    assert weekend_of(session) == changed


def test_a_set_with_one_change_that_cannot_be_made_is_not_made(session: Session) -> None:
    """Nothing is changed then."""
    weekend, before = weekend_of(session), session.project
    gone = Fit(code=Lever.MACHINE, subject="no such machine")
    late = Fit(code=Lever.DEADLINE, size_s=900, until_s=weekend.deadline_s + 900)
    assert not take_fit(session, weekend, Fit(code=Lever.SET, parts=(late, gone)))
    assert session.project == before


def test_what_is_waited_for_comes_sooner(session: Session) -> None:
    """The work may start by then; undo puts it back."""
    weekend = weekend_of(session)
    begin = datetime.fromtimestamp(weekend.begin_s + 6 * HOUR_S, BERLIN)
    session.change(
        "edit", lambda now: replace(now, works=(replace(WORK, not_before=begin), EXTRA, OTHER))
    )
    weekend = weekend_of(session)
    for change in asked_for(weekend)[Lever.ARRIVAL]:
        assert take_fit(session, weekend, change.fit)
        assert weekend_of(session).activities == change.weekend.activities
        session.undo()
