"""Screws, all measures by which plates and pieces are joined, and what plates have to bear."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A metric screw with the holes it needs, in mm.

    Attributes:
        name: designation after ISO 261.
        across_mm: nominal diameter.
        pilot_mm: hole the thread is cut or formed into.
        clear_mm: hole it passes through.
        head_mm: diameter of the head.
        head_high_mm: height of the head.
    """

    name: str
    across_mm: float
    pilot_mm: float
    clear_mm: float
    head_mm: float
    head_high_mm: float


SCREWS = (
    Screw(name="M2", across_mm=2.0, pilot_mm=1.6, clear_mm=2.4, head_mm=4.0, head_high_mm=1.6),
    Screw(name="M2.5", across_mm=2.5, pilot_mm=2.05, clear_mm=2.9, head_mm=5.0, head_high_mm=2.1),
    Screw(name="M3", across_mm=3.0, pilot_mm=2.5, clear_mm=3.4, head_mm=5.6, head_high_mm=2.4),
    Screw(name="M4", across_mm=4.0, pilot_mm=3.3, clear_mm=4.5, head_mm=8.0, head_high_mm=3.1),
    Screw(name="M5", across_mm=5.0, pilot_mm=4.2, clear_mm=5.5, head_mm=9.5, head_high_mm=3.7),
)
"""Clearance: ISO 273, medium series (read at engineeringhardware.com, "ISO 273"). Pilot: nominal
diameter less the coarse pitch of ISO 261 (read at mlc.org.uk, "Metric thread pitch chart"), which
suits threads cut or formed in printed plastic (common practice). Head: pan heads of ISO 7045, their
height as well (from memory)."""


SCREW_LENGTHS_MM = (5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0)
"""Usual lengths of small metric screws (ISO 888, from memory)."""


def screw_named(name: str) -> Screw:
    """The screw of that designation.

    Raises:
        KeyError: it is not in the table.
    """
    return {screw.name: screw for screw in SCREWS}[name]


GLUE_MPA = 1.0
"""Stress that a glued seam may bear, N/mm^2: a fifth (own choice) of what lap joints of acrylic on
acrylic with cyanoacrylate bore in shear, 790 lb/in^2 or 5.4 N/mm^2 (Handbook of Adhesives and Sealants,
table 10.16; table 10.17 there has 865 lb/in^2 and more for structural acrylic adhesives). Edges that
peel open break at far less, and the plastics of prints bond worse (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joinery:
    """How plates and pieces are joined; everything in mm. The figures are our own choice.

    Attributes:
        screw: screws used, a name in `SCREWS`.
        wall_mm: least plastic around a pilot hole.
        deep_mm: depth of a pilot hole; pieces less than half as deep there get no screw.
        far_mm: contacts longer than this get two screws.
        tab_mm: length of a tab.
        thin_mm: least thickness of a tab.
        gap_mm: least distance between tabs.
        play_mm: play around a tab in its slot, on each side, and between fingers.
        kerf_mm: part of the kerf the laser's paths do not make up for; slots come out wider by it
            and tabs of plates narrower, so that the play drawn is less. Paths of an export make up
            for all of it.
        web_mm: least material left between a slot and any other opening.
        finger_mm: length of a finger where two plates meet; at least one and a half thicknesses are
            taken.
        crumb_mm3: pieces smaller than this are left out.
        glue_mpa: stress that a glued seam may bear, N/mm^2.
        spares: whether spare bosses are put where a plate gives too much and they are cheap.
    """

    screw: str = "M3"
    wall_mm: float = 1.2
    deep_mm: float = 8.0
    far_mm: float = 40.0
    tab_mm: float = 12.0
    thin_mm: float = 1.2
    gap_mm: float = 18.0
    play_mm: float = 0.1
    kerf_mm: float = 0.0
    web_mm: float = 2.0
    finger_mm: float = 12.0
    crumb_mm3: float = 10.0
    glue_mpa: float = GLUE_MPA
    spares: bool = True

    @property
    def room_mm(self) -> float:
        """Play that is drawn around a tab of a piece: less where the kerf adds some."""
        return max(0.0, self.play_mm - 0.5 * self.kerf_mm)


SPARE_WALLS = 2.0
"""Thickness of a spare boss around its pilot hole, in least walls (own choice)."""


def boss_radius_mm(joinery: Joinery) -> float:
    """Outer radius of a spare boss."""
    return 0.5 * screw_named(joinery.screw).pilot_mm + SPARE_WALLS * joinery.wall_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """What a plate has to bear. The figures are our own choice: a firm finger.

    Attributes:
        force_n: of the press.
        patch_mm: side of the square it is spread over.
        limit_mm: deflection that is still fine.
        load_n: weight that lies on it as well, spread evenly; 0 for none.
    """

    force_n: float = 10.0
    patch_mm: float = 10.0
    limit_mm: float = 0.5
    load_n: float = 0.0


@dataclass(frozen=True, slots=True)
class Measure:
    """A number that can be set.

    Attributes:
        name: of the field.
        low, high, step: what can be entered.
        unit: behind the number.
    """

    name: str
    low: float
    high: float
    step: float
    unit: str = "mm"


JOINTS = (
    Measure("wall_mm", 0.4, 10.0, 0.2),
    Measure("deep_mm", 2.0, 40.0, 1.0),
    Measure("far_mm", 5.0, 500.0, 5.0),
    Measure("tab_mm", 3.0, 60.0, 1.0),
    Measure("thin_mm", 0.4, 10.0, 0.2),
    Measure("gap_mm", 3.0, 200.0, 1.0),
    Measure("play_mm", 0.0, 1.0, 0.05),
    Measure("kerf_mm", 0.0, 1.0, 0.01),
    Measure("web_mm", 0.5, 20.0, 0.5),
    Measure("finger_mm", 3.0, 60.0, 1.0),
    Measure("crumb_mm3", 0.0, 1000.0, 5.0, "mm\u00b3"),
    Measure("glue_mpa", 0.05, 20.0, 0.1, "N/mm\u00b2"),
)
PRESSES = (
    Measure("force_n", 0.1, 500.0, 1.0, "N"),
    Measure("patch_mm", 1.0, 100.0, 1.0),
    Measure("limit_mm", 0.05, 10.0, 0.05),
    Measure("load_n", 0.0, 2000.0, 5.0, "N"),
)
"""All measures that are numbers, in the order in which they are shown."""
