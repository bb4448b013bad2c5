"""Findings: coded remarks that travel beside a value, never instead of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from fabsched.model.errors import Fact


class Remark(StrEnum):
    """What was noticed. One line of `resources/wording/en.toml` belongs to each."""

    UNIT_ASSUMED = "unit-assumed"
    UNIT_SUSPECT = "unit-suspect"
    TRAILING_DATA = "trailing-data"
    FACETS_DROPPED = "facets-dropped"
    DUPLICATES_DROPPED = "duplicates-dropped"
    WINDING_MENDED = "winding-mended"
    TURNED_INSIDE_OUT = "turned-inside-out"
    MESH_OPEN = "mesh-open"
    WELDED = "welded"
    SHELLS_OVERLAP = "shells-overlap"
    FAR_FROM_ORIGIN = "far-from-origin"
    SUPPORT_OBJECT_LEFT_OUT = "support-object-left-out"
    OBJECTS_JOINED = "objects-joined"
    SOLIDS_NAMED = "solids-named"
    ROUND_HOLES = "round-holes"
    CODES_LEFT_OUT = "codes-left-out"
    WAITS_FOR_HANDS = "waits-for-hands"
    STANDS_STILL = "stands-still"
    HOME_ASSUMED = "home-assumed"
    PROGRAM_OPEN = "program-open"
    FILAMENT_IN_STEPS = "filament-in-steps"
    THIN_WALLS = "thin-walls"
    UNEVEN_HEIGHT = "uneven-height"
    TINY_CONTACT = "tiny-contact"
    NEEDS_SUPPORT = "needs-support"
    OUTLINE_OPEN = "outline-open"
    OUTLINES_CROSS = "outlines-cross"
    CUT_TWICE = "cut-twice"
    LAYERS_FOUND = "layers-found"
    ENTITY_LEFT_OUT = "entity-left-out"
    WEB_TOO_THIN = "web-too-thin"
    HOLES_NEAR = "holes-near"
    HOLES_BELOW_KERF = "holes-below-kerf"
    FALLS_APART = "falls-apart"
    FALLS_OUT = "falls-out"
    PARTED = "parted"
    LADDER_TOO_SLOW = "ladder-too-slow"
    FIRST_GUESS = "first-guess"
    SETTING_BY_DEFAULT = "setting-by-default"
    STOCK_SHORT = "stock-short"
    SHEET_SMALL = "sheet-small"
    MATERIAL_DISPUTED = "material-disputed"
    LOG_DAMAGED = "log-damaged"
    EXPERIENCE_DAMAGED = "experience-damaged"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One remark.

    Attributes:
        code: what was noticed.
        where: the file or field it is about.
        facts: values for the template of `code`.
    """

    code: Remark
    where: str
    facts: Mapping[str, Fact] = field(default_factory=dict)
