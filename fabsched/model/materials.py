"""What things are made of: filaments for printers, sheet materials for lasers and how they are cut."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from fabsched.model.spread import Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Filament:
    """A material for printers.

    Attributes:
        id: name used in files.
        density_g_cm3: density.
        flow_share: share of the printer's melt flow this material allows.
        layer_s: least time for one layer; the larger of this and the printer's counts.
        warp: how much it pulls off the bed, 0 (none) to 1 (ABS in the open).
        glass_c: glass transition temperature.
        cost_kg: price of a kilogram.
        source: where the figures come from.
    """

    id: str
    density_g_cm3: float
    flow_share: float = 1.0
    layer_s: float = 8.0
    warp: float = 0.3
    glass_c: float = 60.0
    cost_kg: float = 20.0
    source: str = ""


class Cutting(StrEnum):
    """Whether a material may go under a laser."""

    ALLOWED = "allowed"
    DISPUTED = "disputed"
    FORBIDDEN = "forbidden"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSetting:
    """How one thickness of a sheet material is cut.

    Attributes:
        thickness_mm: thickness of the sheet.
        power_w: laser power the feed holds for.
        feed_mm_s: lowest, usual and highest feed.
        pierce_s: time to get through before each outline.
        passes: how often each outline is run over.
        kerf_mm: width of the cut.
        source: where the figures come from.
        measured: the day of the user's own test cut; None for figures of others. What was measured
            goes before what was read.
    """

    thickness_mm: float
    power_w: float
    feed_mm_s: Spread
    pierce_s: float
    passes: int
    kerf_mm: float
    source: str = ""
    measured: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetMaterial:
    """A material for lasers.

    Attributes:
        id: name used in files.
        cutting: whether it may be cut at all.
        reason: why not, or what is disputed.
        also: other names of it, and of what is as bad.
        density_g_cm3: density.
        youngs_mpa: Young's modulus, N/mm^2; 0 where it is not known.
        poisson: Poisson's ratio.
        settings: known thicknesses.
    """

    id: str
    cutting: Cutting
    reason: str = ""
    also: tuple[str, ...] = ()
    density_g_cm3: float = 1.0
    youngs_mpa: float = 0.0
    poisson: float = 0.3
    settings: tuple[CutSetting, ...] = ()


def as_words(name: str) -> str:
    """A name as words between underscores, so that one name can be looked for in another.

    >>> as_words("PVC") in as_words("foamed-pvc"), as_words("abs") in as_words("absorber")
    (True, False)
    """
    return f"_{re.sub(r'[^0-9a-z]+', '_', name.casefold()).strip('_')}_"


def forbidden_by_name(materials: Iterable[SheetMaterial], name: str) -> SheetMaterial | None:
    """The forbidden material a name stands for or holds, by id or by other names of it."""
    words = as_words(name)
    for material in materials:
        names = (material.id, *material.also)
        if material.cutting is Cutting.FORBIDDEN and any(as_words(n) in words for n in names):
            return material
    return None


def usable(materials: Iterable[Filament | SheetMaterial]) -> list[str]:
    """Ids of the materials one may use: all filaments, and sheets that are not forbidden."""
    return [
        material.id
        for material in materials
        if isinstance(material, Filament) or material.cutting is not Cutting.FORBIDDEN
    ]
