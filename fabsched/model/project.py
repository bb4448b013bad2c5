"""What the maker wants: parts, work and gates, to be done by a fixed hour."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from math import dist
from zoneinfo import ZoneInfo

from fabsched.model.estimates import Route
from fabsched.model.operations import Layers
from fabsched.model.spread import Spread


class FitKind(StrEnum):
    """What has to fit."""

    HOLE = "hole"
    SLOT = "slot"
    PEG = "peg"
    OTHER = "other"


Point = tuple[float, float, float]
"""Coordinates along x, y and z in mm."""


class Axis(StrEnum):
    """A direction in a part's own coordinates."""

    X = "x"
    Y = "y"
    Z = "z"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A critical dimension of a part: a place where something else has to fit.

    Attributes:
        id: unique among the fits of its part.
        name: name shown.
        at_mm: middle of the feature, in the coordinates of the part's file.
        size_mm: extent of the feature along x, y and z there.
        kind: what it is; holes, slots and pegs run straight along `axis`.
        axis: the direction in which the other thing is pushed in.
        clearance_mm: play wanted between both, over the whole width; None if it is not known.
        gate: id of the gate that would find a bad fit; empty takes the first that redoes the part.
        ends_mm: the two points it is measured between, in the same coordinates; None if nobody told.
            Their distance is the dimension as drawn.
        nominal_mm: what it should measure; None for what is drawn.
        tolerance_mm: how far off that it may be, either way; None if it is not known.
        measured_mm: what it came out as when it was made last; None if nobody measured.
        fitting_mm: play more than drawn of the copy on a coupon that fitted; None if nobody tried.
    """

    id: str
    name: str
    at_mm: Point
    size_mm: Point
    kind: FitKind = FitKind.HOLE
    axis: Axis = Axis.Z
    clearance_mm: float | None = None
    gate: str = ""
    ends_mm: tuple[Point, Point] | None = None
    nominal_mm: float | None = None
    tolerance_mm: float | None = None
    measured_mm: float | None = None
    fitting_mm: float | None = None

    @property
    def drawn_mm(self) -> float | None:
        """The dimension as drawn; None if nobody told between which points it is measured."""
        return dist(*self.ends_mm) if self.ends_mm else None

    @property
    def wanted_mm(self) -> float | None:
        """What it should measure: as told, else as drawn; None if neither is known."""
        return self.drawn_mm if self.nominal_mm is None else self.nominal_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One thing to be made, `copies` times, from one file.

    Attributes:
        id: name used in files; unique among parts, work and gates.
        name: name shown.
        file: path relative to the project folder, with forward slashes.
        copies: how many.
        route: print it or cut it.
        material: id of a filament or sheet material.
        thickness_mm: of the sheet, for cut parts.
        needed: whether the project is unfinished without it.
        after: ids of what must be done before it is made.
        per_run: most copies in one run; None puts as many on a bed as fit. One failure scraps a
            whole run, so risky parts want few.
        unit: unit the file was drawn in, where the file does not say.
        turn_deg: how a printed part is turned from the way it was drawn: degrees about x, then y,
            then z, right-handed, the axes fixed to the bed.
        layers: what the laser does along the lines of each layer of a drawing, by the layer's name
            in any case; for SVG by label, id or class. Layers not named are cut, unless their own
            name begins with an operation.
        minutes: machine time known from elsewhere, instead of the estimate.
        lay_deg: angles it may be turned by on its bed or sheet, counter-clockwise; none leaves all
            quarter turns. A part along the grain of plywood takes 0 and 180.
        fits: its critical dimensions.
    """

    id: str
    name: str
    file: str
    copies: int = 1
    route: Route = Route.PRINT
    material: str = "PLA"
    thickness_mm: float | None = None
    needed: bool = True
    after: tuple[str, ...] = ()
    per_run: int | None = None
    unit: str | None = None
    turn_deg: tuple[float, float, float] = (0.0, 0.0, 0.0)
    layers: Layers = ()
    minutes: Spread | None = None
    lay_deg: tuple[float, ...] = ()
    fits: tuple[Fit, ...] = ()


USUAL_LATE = Spread(0.0, 60.0, 240.0)
"""Minutes by which a delivery may come late where nobody has said so (own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """Something hands do.

    Attributes:
        id: name used in files; unique among parts, work and gates.
        name: name shown.
        minutes: low, likely and high figure.
        after: ids of what must be done before.
        place: id of the place it is done at; empty means where the person is based.
        splittable: whether it may be laid down and taken up again.
        undoable: whether it can be undone later (code under version control can, glue cannot).
        needed: whether the project is unfinished without it.
        skill: a skill it asks for; empty means anybody.
        skills: what else each who does it has to be able to do.
        early: whether it may be done before the weekend starts.
        not_before: a moment before which it cannot start (a delivery arrives), or None.
        late_minutes: how much later than that it may turn out to be: low, likely and high figure;
            None if the moment is sure.
        people_needed: how many people it takes at once (two lift a panel, one holds and one drills).
    """

    id: str
    name: str
    minutes: Spread
    after: tuple[str, ...] = ()
    place: str = ""
    splittable: bool = False
    undoable: bool = False
    needed: bool = True
    skill: str = ""
    skills: tuple[str, ...] = ()
    early: bool = False
    not_before: datetime | None = None
    late_minutes: Spread | None = None
    people_needed: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Gate(Work):
    """Work that looks for a fault early (a test fit, testing a row of wiring).

    Attributes:
        chance: how likely it finds a fault, 0 to 1.
        redo: ids of the parts and work that are done again when it does.
        eases: id of a later gate that would find the same fault; empty if there is none. Whether
            such a gate is worth its time is left to the planner unless `needed`.
        left: share of that later gate's chance that is left once this one has been passed.
        shows: how likely it shows what the later gate would otherwise find, where that is more often
            than it has something done again: of a ladder of copies another may fit. 0 for `chance`.
    """

    chance: float = 0.0
    redo: tuple[str, ...] = ()
    eases: str = ""
    left: float = 0.0
    shows: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to make something.

    Attributes:
        id: unique among the ways of its fork.
        name: name shown ("print it whole", "plate with pieces").
        items: ids of the parts, work and gates it takes.
    """

    id: str
    name: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fork:
    """Something that can be made in several ways; exactly one of them is carried out.

    Attributes:
        id: unique among forks.
        name: name shown.
        ways: at least two; no item is in two ways or forks.
        chosen: id of the way the maker wants; empty leaves it to the planner.
    """

    id: str
    name: str
    ways: tuple[Way, ...]
    chosen: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """Something that is not made but has to be in hand: a sensor, a screw, wire.

    Attributes:
        id: unique among components.
        name: name shown.
        count: how many the project takes.
        spares: how many more one wants in hand, since small things get lost and break.
        have: how many are in hand.
        needed_by: ids of the parts, work and gates that take it; none means from the beginning.
        delivery_days: working days from ordering to having it; 0 if a shop nearby sells it.
        note: how it goes in where that is easily mixed up: polarity, which side is up.
    """

    id: str
    name: str
    count: int = 1
    spares: int = 0
    have: int = 0
    needed_by: tuple[str, ...] = ()
    delivery_days: int = 0
    note: str = ""

    @property
    def short(self) -> int:
        """How many have to be bought, spares included."""
        return max(0, self.count + self.spares - self.have)


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """Where wires go through: a duct, a hole, a hollow of a part.

    Attributes:
        id: unique among channels.
        name: name shown.
        cables_mm: outer diameter of each cable in it.
        width_mm: how wide it is, or its diameter.
        height_mm: how high it is; 0 if it is round.
    """

    id: str
    name: str
    cables_mm: tuple[float, ...]
    width_mm: float
    height_mm: float = 0.0

    @property
    def size_mm(self) -> tuple[float, ...]:
        """Width and height, or the diameter alone."""
        return (self.width_mm, self.height_mm) if self.height_mm else (self.width_mm,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A wish of the maker: something starts at a moment, or as soon after it as it can.

    Attributes:
        id: id of the bed, sheet, work or gate as planned; at most one pin for each. One that is not
            planned any more is let be.
        at: the moment, zone-aware.
    """

    id: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """All of it.

    Attributes:
        name: name shown.
        zone: the time zone everything is shown in.
        start: when the weekend begins, zone-aware; None means now.
        deadline: when it has to be done, zone-aware.
        wanted_odds: chance of being done in time that the maker wants, 0 to 1.
        parts, works, gates, forks, components, channels, pins: see there.
    """

    name: str
    zone: ZoneInfo
    deadline: datetime
    start: datetime | None = None
    wanted_odds: float = 0.8
    parts: tuple[Part, ...] = ()
    works: tuple[Work, ...] = ()
    gates: tuple[Gate, ...] = ()
    forks: tuple[Fork, ...] = ()
    components: tuple[Component, ...] = ()
    channels: tuple[Channel, ...] = ()
    pins: tuple[Pin, ...] = ()

    @property
    def items(self) -> tuple[Part | Work, ...]:
        """Parts, work and gates, in this order."""
        return (*self.parts, *self.works, *self.gates)
