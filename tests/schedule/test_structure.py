"""A project becomes a weekend: runs, sheets, pieces of work, needs, hours, and every refusal."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from fabsched.model.errors import Fault, InputError
from fabsched.model.foreseen import due_s
from fabsched.model.project import Part, Project, Work
from fabsched.model.shop import Person, Place, Shop
from fabsched.model.spread import Spread
from fabsched.model.weekend import Run, Task
from fabsched.model.windows import Windows
from tests.schedule.projects import (
    ALWAYS,
    ESTIMATES,
    HORIZON_S,
    HOUR_S,
    HOURS,
    NOW,
    NOW_S,
    PROJECT,
    SHOP,
    weekend,
)


def run(ident: str) -> Run:
    """A run of the small project's weekend."""
    found = weekend().activity(ident)
    assert isinstance(found, Run)
    return found


def task(ident: str, **changes: Any) -> Task:
    """A task of the weekend, after changing something about the project."""
    found = weekend(replace(PROJECT, **changes)).activity(ident)
    assert isinstance(found, Task)
    return found


def usual(names: tuple[str, ...]) -> tuple[str, ...]:
    """Of these, what is carried out if nothing is decided."""
    standing = weekend().standing
    return tuple(name for name in names if name in standing)


def test_every_copy_of_every_part_is_made_once() -> None:
    """Over all runs that are carried out, the cargo adds up to the copies wanted."""
    found = weekend()
    runs = [a for a in found.activities if isinstance(a, Run) and a.id in found.standing]
    made = [(part, n) for run in runs for part, n in run.cargo]
    assert {part.id: part.copies for part in PROJECT.parts} == {
        part.id: sum(n for ident, n in made if ident == part.id) for part in PROJECT.parts
    }


def test_activities_have_readable_names() -> None:
    """A run is called after its part, a sheet after its material, a piece after its work."""
    found = weekend()
    assert [activity.id for activity in found.activities if activity.id in found.standing] == [
        "lid",
        "louvre-1",
        "louvre-2",
        "acrylic-3-sheet-1",
        "solder",
        "code~1",
        "code~2",
        "code~3",
        "build",
        "fit",
    ]


def test_whoever_waits_for_an_item_waits_for_the_last_of_it() -> None:
    """All runs of a part, the sheet it is cut from, the last piece of a work, and the gate."""
    assert usual(weekend().activity("build").after) == (
        "louvre-1",
        "louvre-2",
        "acrylic-3-sheet-1",
        "code~3",
        "fit",
    )


def test_pieces_follow_each_other() -> None:
    """A long splittable work is a row of pieces no longer than an hour that share it evenly."""
    pieces = [task(f"code~{i}") for i in (1, 2, 3)]
    assert [piece.after for piece in pieces] == [(), ("code~1",), ("code~2",)]
    assert [(piece.of, round(piece.share, 3)) for piece in pieces] == [("code", 0.333)] * 3
    assert sum(piece.seconds.likely for piece in pieces) == 150 * 60
    assert max(piece.seconds.likely for piece in pieces) <= HOUR_S


def test_gate_does_all_of_an_item_again() -> None:
    """All runs of a part, and all pieces of a work."""
    wanted = ("lid", "louvre-1", "louvre-2", "code~1", "code~2", "code~3")
    assert usual(task("fit").redo) == wanted


def test_bed_is_heated_once() -> None:
    """Machine time of a bed: heating and cooling once, the rest once a copy."""
    assert run("louvre-1").choices[0].seconds == Spread(
        480 + 3 * (1500 - 480), 480 + 3 * (1800 - 480), 480 + 3 * (2400 - 480)
    )


def test_sheet_is_attended_and_cut_part_by_part() -> None:
    """A sheet takes as long as its parts together, hands beside it."""
    sheet = run("acrylic-3-sheet-1")
    assert sheet.attended
    assert sheet.cargo == (("back", 1), ("plate", 2))
    assert sheet.choices[0].seconds == Spread(500, 600, 750)


def test_tending_and_failing_are_the_machines() -> None:
    """Hands' time and the chance of failing come from the shop."""
    lid, printer = run("lid"), SHOP.printers[0]
    assert (lid.start_s, lid.clear_s, lid.attended) == (600, 300, False)
    assert (lid.fail_start, lid.fail_hour) == (printer.fail_start, printer.fail_hour)


def test_work_is_done_at_home_unless_it_says_where() -> None:
    """Without a place, work is done where those who may do it are based."""
    hall = Work(id="saw", name="Saw", minutes=Spread(1, 2, 3), place="hall")
    assert (task("build").place, task("saw", works=(*PROJECT.works, hall)).place) == (
        "home",
        "hall",
    )


def test_work_goes_to_those_with_the_skill() -> None:
    """Only people who have the skill may do work that asks for it."""
    shop = replace(SHOP, people=(*SHOP.people, Person(id="bo", name="Bo", base="home", hours="")))
    found = weekend(shop=shop, hours={**HOURS, "bo": ALWAYS})
    people = {a.id: a.people for a in found.activities if isinstance(a, Task)}
    assert (people["solder"], people["build"]) == (("ada",), ("ada", "bo"))


def test_work_with_no_time_at_all_takes_a_second() -> None:
    """Nothing in a weekend takes no time."""
    idle = Work(id="idle", name="Idle", minutes=Spread.exactly(0))
    assert task("idle", works=(*PROJECT.works, idle)).seconds == Spread.exactly(1)


def test_weekend_begins_at_its_start_but_never_in_the_past() -> None:
    """A later start counts, an earlier one does not."""
    for hours, begin in ((5, 5), (-5, 0)):
        found = weekend(replace(PROJECT, start=NOW + timedelta(hours=hours)))
        assert found.begin_s == NOW_S + begin * HOUR_S


def test_hours_end_at_the_horizon_and_begin_with_the_weekend() -> None:
    """Windows are cut to what is planned."""
    assert weekend().hands[0].windows == Windows.always(NOW_S, HORIZON_S)


def test_delivery_holds_work_back() -> None:
    """Work does not start before the moment it says."""
    late = replace(PROJECT.works[0], not_before=NOW + timedelta(hours=3))
    assert task("solder", works=(late, *PROJECT.works[1:])).earliest_s == NOW_S + 3 * HOUR_S


def test_a_delivery_may_be_late() -> None:
    """Minutes of lateness become seconds; of a work in pieces only the first waits for it."""
    late = replace(
        PROJECT.works[0],
        not_before=NOW + timedelta(hours=3),
        late_minutes=Spread(0, 60, 240),
        minutes=Spread.exactly(150),
        splittable=True,
    )
    found = weekend(replace(PROJECT, works=(late, *PROJECT.works[1:]))).activities
    pieces = [a for a in found if isinstance(a, Task) and a.of == late.id]
    assert [piece.late for piece in pieces] == [Spread(0, 3600, 14400), None, None]
    assert due_s(pieces[0]) == NOW_S + 4 * HOUR_S


def with_work(**changes: Any) -> Project:
    """The project with its first work changed."""
    return replace(PROJECT, works=(replace(PROJECT.works[0], **changes), *PROJECT.works[1:]))


def with_part(**changes: Any) -> Project:
    """The project with its first part changed."""
    return replace(PROJECT, parts=(replace(PROJECT.parts[0], **changes), *PROJECT.parts[1:]))


def shut(name: str) -> Mapping[str, Windows]:
    """Hours with one of them open for a quarter of an hour only."""
    return {**HOURS, name: Windows.of([(NOW_S + HOUR_S, NOW_S + HOUR_S + 900)])}


BO = Person(id="bo", name="Bo", base="hall", hours="", skills=("soldering",))
REFUSALS: tuple[tuple[str, dict[str, Any], Fault, str, dict[str, Any]], ...] = (
    (
        "nothing to do",
        {"project": Project(name="", zone=PROJECT.zone, deadline=PROJECT.deadline)},
        Fault.NOTHING_TO_PLAN,
        "project.toml",
        {},
    ),
    (
        "unknown name",
        {"project": with_work(after=("nut",))},
        Fault.NAME_UNKNOWN,
        "project.toml: work 'solder': after",
        {"name": "nut"},
    ),
    (
        "unknown place",
        {"project": with_work(place="moon")},
        Fault.NAME_UNKNOWN,
        "project.toml: work 'solder': place",
        {"name": "moon", "known": "home, hall"},
    ),
    (
        "circle",
        {"project": with_part(after=("build",))},
        Fault.NEEDS_CIRCLE,
        "project.toml",
        {"circle": {"lid", "build", "fit"}},
    ),
    (
        "no such skill",
        {"project": with_work(skill="welding")},
        Fault.NOBODY_CAN,
        "project.toml: work 'solder': skill",
        {"skill": "welding"},
    ),
    (
        "nobody has both skills",
        {"project": with_work(skill="soldering", skills=("welding",))},
        Fault.NOBODY_CAN,
        "project.toml: work 'solder': skills",
        {"skill": "soldering, welding"},
    ),
    (
        "more people than there are",
        {"project": with_work(people_needed=2)},
        Fault.TOO_FEW_CAN,
        "project.toml: work 'solder': people_needed",
        {"needed": 2, "count": 1},
    ),
    (
        "nobody",
        {"shop": replace(SHOP, people=())},
        Fault.FIELD_MISSING,
        "shop.toml: person",
        {},
    ),
    (
        "no printer",
        {"shop": replace(SHOP, printers=())},
        Fault.NO_MACHINE,
        "project.toml: part 'lid': route",
        {"route": "print"},
    ),
    (
        "no laser",
        {"shop": replace(SHOP, lasers=())},
        Fault.NO_MACHINE,
        "project.toml: part 'plate': route",
        {"route": "cut"},
    ),
    (
        "deadline now",
        {"project": replace(PROJECT, deadline=NOW)},
        Fault.DEADLINE_PAST,
        "project.toml: deadline",
        {"now": "2027-03-05T18:00+01:00"},
    ),
    (
        "person too seldom",
        {"hours": shut("ada")},
        Fault.HOURS_NEVER_MEET,
        "project.toml: part 'back': route",
        {"who": "Ada", "minutes": 30, "from_time": "2027-03-05T18:00+01:00"},
    ),
    (
        "printer too seldom",
        {"hours": shut("mex")},
        Fault.HOURS_NEVER_MEET,
        "project.toml: part 'lid': route",
        {"who": "Printer", "minutes": 60},
    ),
    (
        "bed too full",
        {
            "project": with_part(copies=4, per_run=4),
            "hours": {**HOURS, "mex": Windows.of([(NOW_S, NOW_S + 3 * HOUR_S)])},
        },
        Fault.RUN_TOO_LONG,
        "project.toml: part 'lid': per_run",
        {"copies": 4, "minutes": 240, "machine": "Printer", "fewer": 3},
    ),
    (
        "nobody there to start the printer early enough",
        {
            "hours": {
                **HOURS,
                "mex": Windows.of([(NOW_S, NOW_S + 2 * HOUR_S)]),
                "ada": Windows.always(NOW_S + HOUR_S, HORIZON_S),
            }
        },
        Fault.HOURS_NEVER_MEET,
        "project.toml: part 'lid': route",
        {"who": "Printer, Ada", "minutes": 70},
    ),
    (
        "laser too seldom",
        {"hours": shut("ray")},
        Fault.HOURS_NEVER_MEET,
        "project.toml: part 'back': route",
        {"who": "Ada", "minutes": 30},
    ),
    (
        "place never open",
        {"project": with_work(place="hall"), "hours": shut("hall")},
        Fault.HOURS_NEVER_MEET,
        "project.toml: part 'back': route",
        {"who": "Ada"},
    ),
    (
        "not before hours are known",
        {"project": with_work(not_before=datetime(2027, 3, 20, tzinfo=UTC))},
        Fault.FIELD_OUT_OF_RANGE,
        "project.toml: work 'solder': not_before",
        {"low": "2027-03-05T18:00+01:00", "value": "2027-03-20T01:00+01:00"},
    ),
    (
        "whose home",
        {"shop": replace(SHOP, people=(*SHOP.people, BO)), "hours": {**HOURS, "bo": ALWAYS}},
        Fault.FIELD_MISSING,
        "project.toml: work 'solder': place",
        {"example": 'place = "hall"'},
    ),
    (
        "no way there",
        {"shop": replace(SHOP, travels=())},
        Fault.FIELD_MISSING,
        "shop.toml: travel",
        {"example": 'between = ["home", "hall"]'},
    ),
)


@pytest.mark.parametrize(
    ("inputs", "fault", "where", "facts"),
    [pytest.param(*row[1:], id=row[0]) for row in REFUSALS],
)
def test_refuses(
    inputs: dict[str, Any], fault: Fault, where: str, facts: Mapping[str, Any]
) -> None:
    """What cannot be planned is refused with the place and what is wrong."""
    with pytest.raises(InputError) as caught:
        weekend(**inputs)
    assert caught.value.code == fault
    assert caught.value.where.startswith(where)
    for name, value in facts.items():
        said = caught.value.facts[name]
        if isinstance(value, set):
            assert set(str(said).split(" → ")) == value
        else:
            assert said == value


def test_splittable_work_may_lie_over_closing_times() -> None:
    """Work that may be laid down needs no window as long as itself, only enough of them."""
    short = Windows.of((NOW_S + i * HOUR_S, NOW_S + i * HOUR_S + 1800) for i in range(60))
    only = replace(PROJECT, parts=(), works=(PROJECT.works[1],), gates=())
    found = weekend(only, hours={**HOURS, "ada": short})
    assert len(found.activities) == 3


def test_part_needs_no_estimate_if_its_minutes_are_known() -> None:
    """A time known from elsewhere holds on every printer, one copy a run."""
    known = with_part(minutes=Spread(50, 60, 80), copies=2)
    estimates = {name: each for name, each in ESTIMATES.items() if name != "lid"}
    found = weekend(known, estimates=estimates)
    lids = [a for a in found.activities if isinstance(a, Run) and a.cargo == (("lid", 1),)]
    assert [lid.choices[0].seconds for lid in lids] == [Spread(3000, 3600, 4800)] * 2


def test_names_never_clash() -> None:
    """A part that is called like a run of another gets its own id all the same."""
    twin = Part(id="louvre-1", name="Twin", file="twin.stl")
    found = weekend(
        replace(PROJECT, parts=(*PROJECT.parts, twin)),
        estimates={**ESTIMATES, "louvre-1": ESTIMATES["lid"]},
    )
    ids = [activity.id for activity in found.activities]
    assert len(set(ids)) == len(ids)
    assert found.activity("build").after[:2] == ("louvre-1_", "louvre-2")


def test_ways_lead_over_other_places() -> None:
    """Places joined only by way of a third are as far apart as both ways together."""
    shop: Shop = replace(
        SHOP,
        places=(*SHOP.places, Place(id="yard", name="Yard")),
        travels=(*SHOP.travels, replace(SHOP.travels[0], between=("hall", "yard"), minutes=5)),
    )
    found = weekend(with_work(place="yard"), shop, {**HOURS, "yard": ALWAYS})
    assert found.way_s("home", "yard") == found.way_s("yard", "home") == 30 * 60
