"""Ways to make a part as plain records: light, and ready to be pickled."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fabsched.advise.options import Option
from fabsched.model.errors import Fact, InputError
from fabsched.model.project import Part, Work

if TYPE_CHECKING:  # brings in numpy
    from fabsched.model.shapes import Mesh


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Body:
    """A plate or piece, moved away from the others.

    Attributes:
        label: its name in the lists.
        mesh: the body in mm.
        colour: shares of red, green and blue, 0 to 1.
    """

    label: str
    mesh: "Mesh"
    colour: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sag:
    """How far one plate gives.

    Attributes:
        plate: number of the plate among those found, from 1.
        sag_mm: the largest deflection.
        bosses: where further bosses would help (x, y from the lower left corner), with what is left.
        loaded_mm: the largest deflection under an even load; None if there is none.
    """

    plate: int
    sag_mm: float
    bosses: tuple[tuple[float, float, float], ...] = ()
    loaded_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Glue:
    """The glue that holds one plate.

    Attributes:
        plate: number of the plate among those found, from 1.
        area_mm2: glued area.
        stress_mpa, allowed_mpa: stress under press and load, and what a seam may bear, N/mm^2.
        lever_mm: how far from the seam the press has leverage; 0 where the plate is held elsewhere too.
    """

    plate: int
    area_mm2: float
    stress_mpa: float
    allowed_mpa: float
    lever_mm: float

    @property
    def holds(self) -> bool:
        """Whether it bears the press and the load."""
        return self.stress_mpa <= self.allowed_mpa


@dataclass(frozen=True, slots=True, kw_only=True)
class Altered:
    """What the part is changed for, so that a plate can be cut.

    Attributes:
        plate: number of the plate among those found and what can be adopted, from 1.
        code: what is changed, a key of the wording table's `[adopting]`.
        facts: values for that.
    """

    plate: int
    code: str
    facts: Mapping[str, Fact]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What one way takes and risks; all copies together.

    Attributes:
        printing_s, cutting_s: machine time.
        hands_s: hands for machines, cleaning and fitting.
        mass_g: plastic printed.
        sheet_mm2: sheet cut.
        cost: in the shop's currency; None if prices are unknown.
        trips: there and back in the whole plan.
        warp: of the print most likely to warp; empty if nothing is printed.
        fails: chance that at least one run fails at its first attempt.
        lost_mean_s, lost_p90_s: machine time a failure costs on average; nine in ten cost less.
        lost_s: machine time lost to failures, whether there are any or not.
    """

    printing_s: float
    cutting_s: float
    hands_s: int
    mass_g: float
    sheet_mm2: float
    cost: float | None
    trips: int
    warp: str
    fails: float
    lost_mean_s: float
    lost_p90_s: float
    lost_s: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ShownWay:
    """One way to make a part.

    Attributes:
        pick: numbers of the plates that are cut, from 0, what is adopted numbered on from those that
            were found; none prints the part whole.
        on_time, standard_error: chance that the whole project is done in time.
        figures: what it takes and risks; None if it cannot be made.
        sags: how far its plates give.
        untold: plates of which that cannot be told, with a key of the wording table's `[loose]` for why.
        glue: of the plates that are glued.
        parted_by: numbers, from 1, of plates on either side of which a half of the print stands.
        press_n: under how much force.
        screws: designation with length, and number, of the screws it takes.
        changes: what the part is changed for.
        crumbs_mm3: pieces too small to be made, which are left out.
        bodies: what it is made of, moved apart; none for the whole part.
        hindered: why it cannot be made.
        parts, works: what takes the part's place.
        own_files: what the project needs for them, by path.
        files: what can be written out, by name; the picture is drawn of `bodies` when it is asked for.
    """

    pick: tuple[int, ...]
    on_time: float = 0.0
    standard_error: float = 0.0
    figures: Figures | None = None
    sags: tuple[Sag, ...] = ()
    untold: tuple[tuple[int, str], ...] = ()
    glue: tuple[Glue, ...] = ()
    parted_by: tuple[int, ...] = ()
    press_n: float = 0.0
    screws: tuple[tuple[str, int], ...] = ()
    changes: tuple[Altered, ...] = ()
    crumbs_mm3: float = 0.0
    bodies: tuple[Body, ...] = ()
    hindered: InputError | None = None
    parts: tuple[Part, ...] = ()
    works: tuple[Work, ...] = ()
    own_files: Mapping[str, bytes] = field(default_factory=dict)
    files: Mapping[str, bytes] = field(default_factory=dict)

    @property
    def items(self) -> tuple[str, ...]:
        """Ids of all parts and works."""
        return (*(part.id for part in self.parts), *(work.id for work in self.works))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """A part that failed, made of plates and pieces instead.

    Attributes:
        part: id of the part.
        option: what becomes of the rest of the weekend once `way` is taken.
        way: how; see `session.ways.take`.
    """

    part: str
    option: Option
    way: ShownWay


@dataclass(frozen=True, slots=True, kw_only=True)
class Miss:
    """What is nearly a plate.

    Attributes:
        area_mm2: its area.
        code: why it is none, a key of the wording table's `[near]`.
        facts: values for that.
        number: as a plate, from 1, if it can be adopted.
    """

    area_mm2: float
    code: str
    facts: Mapping[str, Fact]
    number: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaysResponse:
    """All ways to make a part.

    Attributes:
        id: of the request.
        part: id of the part.
        ways: side by side; the first prints it whole.
        plates: thickness of the sheet and area of each plate that was found.
        misses: what is nearly a plate.
        best: number of the best way.
        code, facts: what it comes to; a key of the wording table's `[verdict]`.
    """

    id: int
    part: str
    ways: tuple[ShownWay, ...]
    plates: tuple[tuple[float, float], ...]
    misses: tuple[Miss, ...]
    best: int
    code: str
    facts: Mapping[str, Fact]
