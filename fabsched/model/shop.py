"""What the maker has: places, machines, people, ways between, and stock."""

from dataclasses import dataclass, field
from typing import Literal

from fabsched.model.materials import Filament, SheetMaterial

NEARBY: Literal["nearby"] = "nearby"
"""A machine may run with nobody beside it, but somebody has to be at its place."""

Unattended = bool | Literal["nearby"]

Border = tuple[tuple[float, float], ...]
"""A closed polygon in mm that does not repeat its first point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """An iCalendar file (RFC 5545) of times when somebody or something is not to be had.

    Attributes:
        file: its path, from the folder of the shop file.
        text: what stands in it; empty where that was not looked at.
    """

    file: str
    text: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Somewhere work is done.

    Attributes:
        id: name used in files.
        name: name shown.
        hours: opening hours in the OpenStreetMap `opening_hours` grammar.
        busy: when it is closed all the same.
    """

    id: str
    name: str
    hours: str = "24/7"
    busy: Calendar | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Travel:
    """The way between two places, the same in both directions.

    Attributes:
        between: the two place ids.
        minutes: door to door.
    """

    between: tuple[str, str]
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody with hands.

    Attributes:
        id: name used in files.
        name: name shown.
        base: id of the place where they wake up and go back to.
        hours: when they are up and free, meals left out, in `opening_hours` grammar.
        busy: when they are not free all the same.
        skills: what they can do; work that asks for a skill goes only to people who have it.
    """

    id: str
    name: str
    base: str
    hours: str
    busy: Calendar | None = None
    skills: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """How a machine moves.

    Attributes:
        wall_mm_s: speed along outer walls.
        inner_mm_s: speed along inner walls.
        solid_mm_s: speed of solid infill.
        sparse_mm_s: speed of sparse infill.
        travel_mm_s: speed of moves that lay nothing down.
        first_layer_mm_s: speed of everything on the first layer.
        wall_mm_s2: acceleration along outer walls.
        print_mm_s2: acceleration of all other laying moves.
        travel_mm_s2: acceleration of travel.
        corner_mm: how far the path may be cut at a corner (the deviation of Kunz & Stilman 2012).
        curve_mm_s2: most acceleration across the path on curves, v^2 <= a R; 0 leaves curves to
            the rule of corners alone.
        flow_mm3_s: most plastic the nozzle can melt, volume per second.
    """

    wall_mm_s: float = 50.0
    inner_mm_s: float = 90.0
    solid_mm_s: float = 110.0
    sparse_mm_s: float = 140.0
    travel_mm_s: float = 220.0
    first_layer_mm_s: float = 30.0
    wall_mm_s2: float = 2000.0
    print_mm_s2: float = 3000.0
    travel_mm_s2: float = 5000.0
    corner_mm: float = 0.02
    curve_mm_s2: float = 0.0
    flow_mm3_s: float = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """How a part is built up from beads.

    Attributes:
        layer_mm: layer height.
        first_layer_mm: height of the first layer.
        bead_mm: width of a bead.
        walls: beads around every section.
        skins: solid layers above and below.
        infill: share of the inside that is filled, 0 to 1.
        overhang_deg: steepest angle from the vertical that needs no support.
        support: share of the supported volume that is filled; 0 prints without support.
        layer_s: least time for one layer, so that it can cool.
        retract_s: time to pull filament back and push it on again, once each.
    """

    layer_mm: float = 0.2
    first_layer_mm: float = 0.2
    bead_mm: float = 0.45
    walls: int = 3
    skins: int = 4
    infill: float = 0.15
    overhang_deg: float = 45.0
    support: float = 0.15
    layer_s: float = 8.0
    retract_s: float = 0.06


@dataclass(frozen=True, slots=True, kw_only=True)
class Printer:
    """A machine for material extrusion (MEX in the terms of ISO/ASTM 52900).

    Attributes:
        id: name used in files.
        name: name shown.
        place: id of the place where it stands.
        bed_mm: x, y and z of the build volume.
        hours: when it may run, in `opening_hours` grammar; quiet hours are left out.
        busy: when it may not run all the same.
        unattended: whether it may run with nobody beside it: always, never, or only while whoever
            started it stays at the place, asleep or not.
        start_minutes: hands needed to start a run.
        watch_minutes: hands that stay beside a run once it has begun, until the first layers are seen
            to hold; a shorter run is watched to its end.
        clear_minutes: hands needed to take the parts off.
        change_minutes: hands needed to change the spool, purging included.
        heat_s: heating of bed and nozzle before the first layer.
        cool_s: cooling down before parts come off.
        fail_start: chance that a run fails whatever its length.
        fail_hour: further chance of failing per hour of running (small, as a rate).
        motion: how it moves.
        build: how it builds.
        filament_mm: diameter of the filament it takes.
        cost_hour: what an hour of it costs (power, wear).
        keep_out: areas of the bed that stay free (clips, worn spots), in mm from its lower left corner.
        one_by_one: whether the parts of a run are printed one after the other, each to its top.
        head_mm: how far the print head reaches around the nozzle, for printing one by one.
        gantry_mm: how high above the tip of the nozzle whatever carries the head is, likewise.
    """

    id: str
    name: str
    place: str
    bed_mm: tuple[float, float, float]
    hours: str = "24/7"
    busy: Calendar | None = None
    unattended: Unattended = True
    start_minutes: float = 10.0
    watch_minutes: float = 0.0
    clear_minutes: float = 5.0
    change_minutes: float = 5.0
    heat_s: float = 180.0
    cool_s: float = 300.0
    fail_start: float = 0.03
    fail_hour: float = 0.015
    motion: Motion = field(default_factory=Motion)
    build: Build = field(default_factory=Build)
    filament_mm: float = 1.75
    cost_hour: float = 0.0
    keep_out: tuple[Border, ...] = ()
    one_by_one: bool = False
    head_mm: float = 45.0
    gantry_mm: float = 25.0

    @property
    def runs_alone(self) -> bool:
        """Whether it may run with nobody beside it, be it that somebody is near."""
        return self.unattended is not False


@dataclass(frozen=True, slots=True, kw_only=True)
class Laser:
    """A laser cutter. Somebody stands beside it all the time; no setting changes that.

    Attributes:
        id: name used in files.
        name: name shown.
        place: id of the place where it stands.
        bed_mm: x and y of the bed.
        hours: when it may run, in `opening_hours` grammar.
        busy: when it may not run all the same.
        power_w: optical power.
        start_minutes: hands to lay the sheet and focus, before cutting.
        clear_minutes: hands to take parts and scrap off the bed, after cutting.
        watch_minutes: hands that stay after the last cut, extraction on and lid shut, until the
            fumes are gone and nothing glows (common practice).
        clean_minutes: hands to clean bed, lens and filter after the job. With the watch it makes 8
            of the 5 to 10 minutes that Carnegie Mellon University's laser policy has users plan at
            the end of each job (courses.ideate.cmu.edu/62-478/s2017/laser/policy, no. 4).
        travel_mm_s: speed between cuts.
        accel_mm_s2: acceleration of all moves.
        corner_mm: how far the path may be cut at a corner (Kunz & Stilman 2012).
        fail_start: chance that a sheet has to be cut again.
        cost_hour: what an hour of it costs.
        keep_out: areas of the bed that stay free (clamps, pins), in mm from its lower left corner,
            where sheets lie.
    """

    id: str
    name: str
    place: str
    bed_mm: tuple[float, float]
    hours: str = "24/7"
    busy: Calendar | None = None
    power_w: float = 60.0
    start_minutes: float = 10.0
    clear_minutes: float = 2.0
    watch_minutes: float = 2.0
    clean_minutes: float = 6.0
    travel_mm_s: float = 200.0
    accel_mm_s2: float = 1500.0
    corner_mm: float = 0.02
    fail_start: float = 0.05
    cost_hour: float = 0.0
    keep_out: tuple[Border, ...] = ()

    @property
    def after_minutes(self) -> float:
        """Hands needed after a job: the watch, clearing and cleaning, marks alone included."""
        return self.watch_minutes + self.clear_minutes + self.clean_minutes


Machine = Printer | Laser


@dataclass(frozen=True, slots=True, kw_only=True)
class Spool:
    """Filament in hand.

    Attributes:
        id: name used in files.
        material: id of a filament material.
        mass_g: what is left on it.
    """

    id: str
    material: str
    mass_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Sheets in hand, all alike.

    Attributes:
        id: name used in files.
        material: id of a sheet material.
        thickness_mm: thickness.
        size_mm: x and y.
        count: how many.
        cost: price of one.
        outline: its border where it is no rectangle, within `size_mm`; such a sheet is an offcut.
    """

    id: str
    material: str
    thickness_mm: float
    size_mm: tuple[float, float]
    count: int = 1
    cost: float = 0.0
    outline: Border = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """All of it.

    Attributes:
        currency: sign put before costs.
        places, travels, people, printers, lasers: see there; ids are unique over all of them.
        filaments, sheet_materials: the material tables, shipped ones under the shop's own.
        spools, sheets: stock in hand.
    """

    currency: str = "EUR"
    places: tuple[Place, ...] = ()
    travels: tuple[Travel, ...] = ()
    people: tuple[Person, ...] = ()
    printers: tuple[Printer, ...] = ()
    lasers: tuple[Laser, ...] = ()
    filaments: tuple[Filament, ...] = ()
    sheet_materials: tuple[SheetMaterial, ...] = ()
    spools: tuple[Spool, ...] = ()
    sheets: tuple[Sheet, ...] = ()

    @property
    def machines(self) -> dict[str, Machine]:
        """Printers and lasers by id."""
        machines: tuple[Machine, ...] = (*self.printers, *self.lasers)
        return {machine.id: machine for machine in machines}
