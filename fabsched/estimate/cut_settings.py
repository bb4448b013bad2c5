"""How fast a sheet is cut: what the table knows, carried over to other thicknesses and powers.

The energy that opens a unit of cut face, P / (t v), is nearly the same over thicknesses and powers
of one material (Steen & Mazumder, Laser Material Processing, severance energies; from memory), so
that v = P / (e t) with e taken from the nearest known thickness.
"""

import math
from dataclasses import dataclass
from datetime import date

from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.materials import CutSetting, Cutting, SheetMaterial
from fabsched.model.shop import Laser
from fabsched.model.spread import Spread

ALIKE_MM = 0.11
"""Sheets of one nominal thickness differ by this much; no new setting is needed."""
ALIKE_POWER = 0.01
"""Share by which powers may differ before the feed is scaled."""
SCORE_MM = 0.3
"""Depth of a scored line: visible and still holding (common practice, no published source)."""
ENGRAVE_MM_S = 300.0
"""Speed over an engraved area: 200 to 400 mm/s are starting settings of a 60 W CO2 laser (course
slide U3M2-003, protolab.certifitrax.com)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSpeeds:
    """What a laser does in one sheet.

    Attributes:
        feed_mm_s: lowest, usual and highest feed of a cut.
        score_mm_s: the same along scored lines.
        engrave_mm_s: speed along the lines of an engraved area.
        pierce_s: time to get through before each outline.
        passes: how often each outline is run over.
        kerf_mm: width of the cut.
        measured: the day of the own test cut all this comes from; None for figures of others.
        findings: what had to be derived.
    """

    feed_mm_s: Spread
    score_mm_s: Spread
    engrave_mm_s: float
    pierce_s: float
    passes: int
    kerf_mm: float
    measured: date | None = None
    findings: tuple[Finding, ...] = ()


def cut_speeds(
    laser: Laser, material: SheetMaterial, thickness_mm: float, *, where: str
) -> CutSpeeds:
    """Speeds for one sheet under one laser.

    A setting for this thickness counts, the user's own before others. Without one, the nearest
    own, else the nearest of all is carried over by its specific energy P / (t v).

    Args:
        laser: the machine.
        material: the sheet's material.
        thickness_mm: its thickness, above 0.
        where: the part, for errors and findings.

    Raises:
        InputError: the material must not be cut, or nothing is known about cutting it.
    """
    disputed = _permission(material, where)
    setting = _nearest(material, thickness_mm, laser.power_w, where)
    thicker, weaker = _ratios(setting, laser, thickness_mm)
    effort = thicker * weaker
    feed = setting.feed_mm_s.scaled(1 / effort)
    scoring = feed.scaled(thickness_mm / (SCORE_MM * setting.passes))
    known = thicker == weaker == 1
    what = f"feed for {material.id} {thickness_mm:g} mm at {laser.power_w:g} W"
    derived = () if known else (_guess(what, feed, setting, where),)
    return CutSpeeds(
        feed_mm_s=_capped(feed, laser.travel_mm_s),
        score_mm_s=_capped(scoring, laser.travel_mm_s),
        engrave_mm_s=min(ENGRAVE_MM_S, laser.travel_mm_s),
        pierce_s=setting.pierce_s * effort,
        passes=setting.passes,
        kerf_mm=setting.kerf_mm,
        measured=setting.measured if known else None,
        findings=(*disputed, *derived),
    )


def _permission(material: SheetMaterial, where: str) -> tuple[Finding, ...]:
    facts = {"material": material.id, "reason": material.reason}
    if material.cutting is Cutting.FORBIDDEN:
        raise InputError(Fault.MATERIAL_FORBIDDEN, where, **facts)
    if material.cutting is Cutting.DISPUTED:
        return (Finding(code=Remark.MATERIAL_DISPUTED, where=where, facts=facts),)
    return ()


def _nearest(
    material: SheetMaterial, thickness_mm: float, power_w: float, where: str
) -> CutSetting:
    if not thickness_mm > 0 or not math.isfinite(thickness_mm):
        raise InputError(
            Fault.FIELD_OUT_OF_RANGE, where, value=thickness_mm, low="above 0", high="any mm"
        )
    if not material.settings:
        raise unset(material, where)
    return min(material.settings, key=lambda setting: _rank(setting, thickness_mm, power_w))


def unset(material: SheetMaterial, where: str) -> InputError:
    """The error for a material nothing is known of; of a disputed one the shop's own list decides."""
    facts = {"material": material.id, "reason": material.reason}
    disputed = material.cutting is Cutting.DISPUTED
    return InputError(Fault.DISPUTED_UNSET if disputed else Fault.CUT_UNKNOWN, where, **facts)


def _rank(setting: CutSetting, thickness_mm: float, power_w: float) -> tuple[float, ...]:
    """How little a setting suits: another thickness, not one's own, how far, another power."""
    alike = _alike(setting.thickness_mm, thickness_mm)
    far = 0.0 if alike else abs(math.log(setting.thickness_mm / thickness_mm))
    return not alike, setting.measured is None, far, abs(math.log(setting.power_w / power_w))


def _alike(one_mm: float, other_mm: float) -> bool:
    """Whether two thicknesses are one nominal one; thin sheets differ by more than that in share."""
    return abs(one_mm - other_mm) <= ALIKE_MM and abs(math.log(one_mm / other_mm)) < 0.1


def _ratios(setting: CutSetting, laser: Laser, thickness_mm: float) -> tuple[float, float]:
    """How much thicker the sheet and how much weaker the laser is; exactly 1 where alike."""
    thicker = thickness_mm / setting.thickness_mm
    weaker = setting.power_w / laser.power_w
    alike = _alike(thickness_mm, setting.thickness_mm)
    return 1.0 if alike else thicker, 1.0 if abs(weaker - 1) <= ALIKE_POWER else weaker


def _capped(speeds: Spread, most: float) -> Spread:
    return Spread(min(speeds.low, most), min(speeds.likely, most), min(speeds.high, most))


def _guess(what: str, feed: Spread, setting: CutSetting, where: str) -> Finding:
    """The finding for a feed that was carried over."""
    facts: dict[str, Fact] = {
        "what": what,
        "value": f"{feed.likely:.3g} mm/s",
        "thickness": f"{setting.thickness_mm:g}",
        "power": f"{setting.power_w:g}",
        "source": setting.source or "source not told",
    }
    return Finding(code=Remark.FIRST_GUESS, where=where, facts=facts)
