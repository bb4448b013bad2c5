"""From deliveries told in the log to the next plan, and back by name."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from fabsched.files.experience_sqlite import FILE, ExperienceFile
from fabsched.files.log_home import Home
from fabsched.model.experience import LateSeen, LookSeen
from fabsched.model.log import Entry, Event, Meant, Sort
from fabsched.model.project import USUAL_LATE, Component, Project, Work
from fabsched.model.shop import Shop
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S, MINUTE_S
from fabsched.model.weekend import Hands, Site, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.odds.truths import PUBLISHED
from fabsched.session.experience import Experiences
from fabsched.session.judged_words import learnt_lines
from fabsched.session.judging import learnt
from fabsched.session.knowledge import knowledge_of
from fabsched.session.log_lessons import Setting, lessons_of
from fabsched.session.names_learnt import DELIVERIES, FAULTS
from tests.session import made

PROMISED = made.NOW + timedelta(hours=10)
PROMISED_S = int(PROMISED.timestamp())
MOUNT = Work(
    id="mount",
    name="Mount the display",
    minutes=Spread(20.0, 30.0, 60.0),
    not_before=PROMISED,
    late_minutes=Spread(0.0, 120.0, 480.0),
)
PROJECT = Project(
    name="Box",
    zone=made.BERLIN,
    deadline=made.DEADLINE,
    works=(MOUNT, Work(id="wire", name="Wiring", minutes=Spread(30.0, 60.0, 90.0))),
    components=(Component(id="sensor", name="Sensor", needed_by=("wire",)),),
)
MOUNTING = Meant(name=MOUNT.name, sort=Sort.WORK, items=(("mount", 1),))


def told(kind: Event, at_s: int, subject: str, **facts: object) -> Entry:
    """An entry, not numbered yet."""
    entry = Entry(kind=kind, moment_s=at_s, noted_s=at_s, subject=subject)
    return replace(entry, **facts)  # type: ignore[arg-type] # fields by name


def seen(*entries: Entry, after: int = 0, project: Project = PROJECT) -> list[LateSeen]:
    """What a log says of deliveries."""
    numbered = [replace(entry, id=i) for i, entry in enumerate(entries, start=1)]
    setting = Setting(project=project, shop=Shop(), home=Home("log", after))
    return [one for one in lessons_of(numbered, setting) if isinstance(one, LateSeen)]


@pytest.mark.parametrize("hours", [-2, 0, 5])
@pytest.mark.parametrize("subject", ["mount", "Mount the display", "mount~1"])
def test_what_came_late_or_early(hours: int, subject: str) -> None:
    """Named by its work, by the name shown or by the activity: how much later than promised."""
    meant = MOUNTING if subject == "mount~1" else Meant()
    moment_s = PROMISED_S + hours * HOUR_S
    (one,) = seen(told(Event.ARRIVED, moment_s, subject, meant=meant))
    assert (one.late_s, one.at_s) == (hours * HOUR_S, moment_s)
    assert one.expected == Spread(0.0, 7200.0, 28800.0)


def test_what_was_promised_of_a_component_first() -> None:
    """A component is promised in the log; a second promise does not excuse the first."""
    (one,) = seen(
        told(Event.DELAYED, PROMISED_S - 9 * HOUR_S, "sensor", until_s=PROMISED_S),
        told(Event.DELAYED, PROMISED_S, "sensor", until_s=PROMISED_S + HOUR_S),
        told(Event.ARRIVED, PROMISED_S + 3 * HOUR_S, "sensor"),
    )
    assert (one.late_s, one.expected) == (3.0 * HOUR_S, USUAL_LATE.scaled(MINUTE_S))


def test_what_nobody_promised_teaches_nothing() -> None:
    """A component that simply came, one told twice, and what the log it was copied from said."""
    came = told(Event.ARRIVED, PROMISED_S, "sensor")
    assert seen(came) == []
    late = told(Event.ARRIVED, PROMISED_S + HOUR_S, "mount")
    assert len(seen(late, replace(late, moment_s=PROMISED_S + 2 * HOUR_S))) == 1
    assert seen(late, after=5) == []


def test_what_is_planned_as_sure_teaches_nothing() -> None:
    """A moment without a lateness, and what the maker puts off; told anew, a delivery is unsure."""
    sure = replace(MOUNT, late_minutes=None)
    project = replace(PROJECT, works=(sure, *PROJECT.works[1:]))
    came = told(Event.ARRIVED, PROMISED_S + 5 * HOUR_S, "mount")
    put_off = told(Event.DELAYED, PROMISED_S, "wire", until_s=PROMISED_S + HOUR_S)
    begun = told(Event.ARRIVED, PROMISED_S + 2 * HOUR_S, "wire")
    assert seen(came, put_off, begun, project=project) == []
    anew = told(Event.DELAYED, PROMISED_S, "mount", until_s=PROMISED_S + 4 * HOUR_S)
    (one,) = seen(anew, came, project=project)
    assert (one.late_s, one.expected) == (1.0 * HOUR_S, USUAL_LATE.scaled(MINUTE_S))


def lately(times: float, count: int = 6) -> list[LateSeen]:
    """Deliveries that were so many times as late as the middle of what was told."""
    told_late = Spread(0.0, 3600.0, 14400.0)
    return [
        LateSeen(key=f"log/late/{i}", at_s=i, expected=told_late, late_s=times * 4500.0)
        for i in range(count)
    ]


def test_plans_see_it() -> None:
    """The lateness of what a work waits for is longer by what was learnt; sure moments stay sure."""
    known = knowledge_of(lately(3.0))
    hours = Windows.always(0, 10**6)
    waits = Task(
        id="mount", name="", people=("me",), place="home", seconds=Spread.exactly(60.0),
        late=Spread(0.0, 600.0, 1200.0), of="mount",
    )  # fmt: skip
    weekend = Weekend(
        begin_s=0,
        deadline_s=10**5,
        horizon_s=10**6,
        zone="UTC",
        stations=(),
        hands=(Hands(id="me", name="", windows=hours, base="home"),),
        sites=(Site(id="home", name="", windows=hours),),
        activities=(waits, replace(waits, id="other", late=None)),
    )
    one, other = known.weekend(weekend, PROJECT, Shop()).activities
    assert one.late == waits.late.scaled(known.deliveries.factor)  # type: ignore[union-attr] # told
    assert 1.5 < known.deliveries.factor < 3.0
    assert other.late is None
    assert known.truths.late.sigma < PUBLISHED.late.sigma


def test_it_is_shown_with_what_it_rests_on() -> None:
    """How many came, how many of them late, and what is reckoned with."""
    known = knowledge_of([*lately(3.0, 3), *(replace(lately(0.0)[0], key="b", late_s=-60.0),)])
    (line,) = learnt_lines(learnt(known, Shop()), {})
    assert line.startswith("Deliveries: 3 of 4 came after the promised moment")


def test_checks_and_deliveries_are_unlearnt_by_name(tmp_path: Path) -> None:
    """Each goes and comes back by its name, the other stays; one row is written for each."""
    file = tmp_path / FILE
    experiences = Experiences(ExperienceFile(file))
    look = LookSeen(key="log/look/fit/1", at_s=1, chance=0.3, found=True)
    ExperienceFile(file).sync("log/", [*lately(2.0, 2), look])
    assert (experiences.unlearn(FAULTS), experiences.unlearn(FAULTS)) == (1, 0)
    assert experiences.unlearn(DELIVERIES) == 2
    assert (experiences.seen, len(experiences.unlearnt)) == ((), 3)
    before = rows(file)
    assert experiences.relearn(FAULTS) == 1
    assert experiences.seen == (look,)
    assert experiences.relearn(DELIVERIES) == 2
    assert rows(file) == before + 3
    assert experiences.unlearnt == ()


def rows(file: Path) -> int:
    """How many rows a file of what was learnt has."""
    import sqlite3  # noqa: PLC0415 - only here

    base = sqlite3.connect(file)
    try:
        return int(base.execute("SELECT count(*) FROM seen").fetchone()[0])
    finally:
        base.close()
