"""What `compare --json` prints; its keys are never renamed."""

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fabsched.advise.plates.adopting import Change
from fabsched.advise.plates.comparing import Comparison
from fabsched.advise.plates.joint_list import joint_rows, screws_of
from fabsched.advise.plates.making import Made
from fabsched.advise.plates.parting import parted_by
from fabsched.advise.plates.slabs import NearMiss, Slab
from fabsched.advise.plates.variants import Variant
from fabsched.cli.documents import quantiles
from fabsched.session.noticed import say
from fabsched.session.project_session import Session
from fabsched.session.wording import adopting, caution, glued, join, loose, near, verdict

if TYPE_CHECKING:  # brings in the equations' solver
    from fabsched.advise.plates.bending import Give
    from fabsched.advise.plates.holding import Untold
    from fabsched.advise.plates.seams import Seam

Document = dict[str, Any]


def compare_document(session: Session, comparison: Comparison, written: Sequence[Path]) -> Document:
    """The whole document.

    Args:
        session: the open project.
        comparison: the ways to make the part.
        written: files that were written.
    """
    said = comparison.verdict
    return {
        "part": comparison.part,
        "plates": [_plate(n, slab) for n, slab in enumerate(comparison.found.slabs, start=1)],
        "near": [_near(*each) for each in comparison.found.numbered],
        "variants": [_variant(session, variant) for variant in comparison.variants],
        "verdict": {
            "code": str(said.code),
            "text": verdict(said.code, said.facts),
            "best": said.best,
        },
        "cautions": [caution(code) for code in ("deflection", "glue", "laser")],
        "files": [str(path) for path in written],
    }


def _plate(number: int, slab: Slab) -> Document:
    return {
        "number": number,
        "sheet_mm": slab.sheet_mm,
        "thickness_mm": slab.thick_mm,
        "area_mm2": slab.area_mm2,
        "normal": slab.frame.axes[2].tolist(),
    }


def _near(miss: NearMiss, number: int | None) -> Document:
    return {
        "number": number,
        "code": str(miss.reason),
        "text": near(miss.reason, miss.facts),
        "area_mm2": miss.slab.area_mm2,
        "thickness_mm": miss.slab.thick_mm,
        "sheet_mm": miss.slab.sheet_mm,
    }


def _variant(session: Session, variant: Variant) -> Document:
    """One way; all figures are null where it cannot be made."""
    tally, exposure = variant.tally, variant.exposure
    return {
        "plates": [number + 1 for number in variant.pick],
        "hindered": None
        if variant.hindered is None
        else {"code": str(variant.hindered.code), "text": say(variant.hindered)},
        "print_s": tally and tally.printing_s,
        "cut_s": tally and tally.cutting_s,
        "hands_s": tally and tally.hands_s,
        "mass_g": tally and tally.mass_g,
        "sheet_mm2": tally and tally.sheet_mm2,
        "cost": tally and tally.cost,
        "trips": tally and tally.trips,
        "warp": tally and tally.warp and str(tally.warp),
        "exposure": exposure
        and {
            "chance": exposure.chance,
            "mean_s": exposure.mean_s,
            "p90_s": exposure.p90_s,
            "expected_s": exposure.expected_s,
        },
        "on_time": variant.on_time if tally else None,
        "finish_p50": _moment(session, variant.finish_p50_s),
        "changes": [_change(number, change) for number, change in variant.changes],
        "deflection": [_give(give, variant) for give in variant.gives],
        "untold": [_untold(each, variant) for each in variant.untold],
        "glue": [_seam(seam, variant) for seam in variant.seams],
        "parted_by": _parted_by(variant),
        "parts": _parts(variant.made),
        "screws": _screws(variant.made),
        "screw_list": _screw_list(variant),
        "joints": _joints(variant),
        "volume_mm3": _volumes(variant),
    }


def _change(number: int, change: Change) -> Document:
    """What adopting a plate changes."""
    return {
        "plate": number + 1,
        "code": str(change.reason),
        "text": adopting(change.reason, change.facts),
        "shift_mm": change.shift_mm,
        "border_mm": change.border_mm,
        "volume_mm3": change.volume_mm3,
    }


def _moment(session: Session, moment_s: int | None) -> str | None:
    if moment_s is None:
        return None
    return datetime.fromtimestamp(moment_s, UTC).astimezone(session.project.zone).isoformat()


def _untold(untold: "Untold", variant: Variant) -> Document:
    """Why no deflection is told of a plate."""
    return {
        "plate": variant.pick[untold.plate] + 1,
        "code": str(untold.why),
        "text": loose(untold.why),
    }


def _seam(seam: "Seam", variant: Variant) -> Document:
    """What the glue of a plate would bear."""
    return {
        "plate": variant.pick[seam.plate] + 1,
        "area_mm2": seam.area_mm2,
        "stress_mpa": seam.stress_mpa,
        "allowed_mpa": seam.allowed_mpa,
        "lever_mm": seam.lever_mm,
        "holds": seam.holds,
    }


def _give(give: "Give", variant: Variant) -> Document:
    return {
        "plate": variant.pick[give.plate] + 1,
        "sag_mm": give.worst.sag_mm,
        "at_mm": list(give.worst.at_mm),
        "loaded_mm": give.loaded.sag_mm if give.loaded else None,
        "bosses": [{"at_mm": list(boss.at_mm), "sag_mm": boss.sag_mm} for boss in give.bosses],
    }


def _parts(made: Made | None) -> list[Document]:
    """What takes the part's place, with its time on the first machine."""
    if made is None:
        return []
    return [
        {
            "id": part.id,
            "name": part.name,
            "route": str(part.route),
            "copies": part.copies,
            "material": part.material,
            "time_s": quantiles(next(iter(made.estimates[part.id].values())).seconds),
        }
        for part in made.parts
    ]


def _parted_by(variant: Variant) -> list[int]:
    """Plates on either side of which a half of the print has to be glued."""
    return [variant.pick[n] + 1 for n in parted_by(variant.split)] if variant.split else []


def _screws(made: Made | None) -> Document | None:
    return {"screw": made.screws[0], "count": made.screws[1]} if made else None


def _screw_list(variant: Variant) -> list[Document]:
    """Screws with their lengths, all copies together."""
    if variant.split is None or variant.made is None:
        return []
    found = screws_of(variant.split, variant.made.copies)
    return [{"screw": screw, "count": count} for screw, count in found]


def _joints(variant: Variant) -> list[Document]:
    rows = joint_rows(variant.split) if variant.split else ()
    return [
        {
            "plate": row.plate,
            "piece": row.piece,
            "join": str(row.join),
            "text": join(row.join),
            "screw": row.screw or None,
            "passes": row.passes,
            "why": glued(row.why) if row.why else None,
            "at_mm": list(row.at_mm),
        }
        for row in rows
    ]


def _volumes(variant: Variant) -> Document | None:
    """Where the volume of the part went."""
    if variant.split is None:
        return None
    balance = variant.split.balance
    return {
        "whole": balance.whole,
        "plates": balance.plates,
        "pieces": balance.pieces,
        "removed": balance.whole
        + balance.changed
        + balance.added
        - balance.plates
        - balance.pieces,
        "added": balance.added,
        "changed": balance.changed,
    }
