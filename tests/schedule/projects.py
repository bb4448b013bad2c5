"""A small project, its shop and its hours, to be changed by tests."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from fabsched.model.estimates import Estimate, Route
from fabsched.model.project import Gate, Part, Project, Work
from fabsched.model.shop import Laser, Person, Place, Printer, Sheet, Shop, Travel
from fabsched.model.spread import Spread
from fabsched.model.weekend import Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.structure import weekend_of

NOW = datetime(2027, 3, 5, 17, 0, tzinfo=UTC)
NOW_S = int(NOW.timestamp())
HOUR_S = 3600
HORIZON_S = NOW_S + 96 * HOUR_S
ALWAYS = Windows.always(NOW_S - HOUR_S, HORIZON_S + HOUR_S)

PROJECT = Project(
    name="Lamp",
    zone=ZoneInfo("Europe/Berlin"),
    deadline=datetime(2027, 3, 7, 20, 0, tzinfo=UTC),
    parts=(
        Part(id="lid", name="Lid", file="lid.stl"),
        Part(id="louvre", name="Louvre", file="louvre.stl", copies=6, per_run=3),
        Part(
            id="plate",
            name="Plate",
            file="plate.svg",
            copies=2,
            route=Route.CUT,
            material="acrylic",
            thickness_mm=3.0,
        ),
        Part(
            id="back",
            name="Back",
            file="back.svg",
            route=Route.CUT,
            material="acrylic",
            thickness_mm=3.0,
        ),
    ),
    works=(
        Work(id="solder", name="Solder", minutes=Spread(20, 30, 60), skill="soldering"),
        Work(id="code", name="Code", minutes=Spread(60, 150, 240), splittable=True),
        Work(
            id="build",
            name="Build",
            minutes=Spread(30, 45, 90),
            after=("louvre", "plate", "code", "fit"),
        ),
    ),
    gates=(
        Gate(
            id="fit",
            name="Fit",
            minutes=Spread(5, 10, 20),
            after=("lid",),
            chance=0.2,
            redo=("lid", "louvre", "code"),
        ),
    ),
)

SHOP = Shop(
    places=(Place(id="home", name="Home"), Place(id="hall", name="Hall")),
    travels=(Travel(between=("home", "hall"), minutes=25),),
    people=(Person(id="ada", name="Ada", base="home", hours="24/7", skills=("soldering",)),),
    printers=(Printer(id="mex", name="Printer", place="home", bed_mm=(200, 200, 200)),),
    lasers=(Laser(id="ray", name="Laser", place="hall", bed_mm=(600, 400)),),
    sheets=(Sheet(id="clear", material="acrylic", thickness_mm=3.0, size_mm=(300, 200)),),
)

HOURS: Mapping[str, Windows] = dict.fromkeys(("home", "hall", "ada", "mex", "ray"), ALWAYS)


def estimate(machine: str, seconds: Spread, size_mm: tuple[float, float], **more: Any) -> Estimate:
    """An estimate of one copy."""
    route = Route.CUT if machine.startswith("ray") else Route.PRINT
    fields: dict[str, Any] = {"breakdown_s": {}, "cost": None, **more}
    return Estimate(
        route=route, machine=machine, stock="", seconds=seconds, footprint_mm=size_mm, **fields
    )


ESTIMATES: Mapping[str, Mapping[str, Estimate]] = {
    "lid": {"mex": estimate("mex", Spread(3000, 3600, 4500), (50, 50))},
    "louvre": {
        "mex": estimate(
            "mex",
            Spread(1500, 1800, 2400),
            (60, 60),
            breakdown_s={"heating": 180.0, "cooling": 300.0, "walls": 1320.0},
        )
    },
    "plate": {"ray": estimate("ray", Spread(200, 240, 300), (140, 90))},
    "back": {"ray": estimate("ray", Spread(100, 120, 150), (140, 100))},
}


def weekend(
    project: Project = PROJECT,
    shop: Shop = SHOP,
    hours: Mapping[str, Windows] = HOURS,
    estimates: Mapping[str, Mapping[str, Estimate]] = ESTIMATES,
) -> Weekend:
    """The weekend of a project, from now on."""
    return weekend_of(project, shop, estimates, hours, now_s=NOW_S, horizon_s=HORIZON_S)
