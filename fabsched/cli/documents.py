"""What `--json` prints: one document per verb, its keys never renamed."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from fabsched.estimate.raising import times_failing
from fabsched.model.errors import InputError
from fabsched.model.estimates import Estimate, Pose, Warp
from fabsched.model.findings import Finding
from fabsched.model.plan import Answer, Block, Kind, Odds
from fabsched.model.project import Project
from fabsched.model.spread import Spread
from fabsched.model.weekend import Run, Weekend
from fabsched.model.windows import NEVER
from fabsched.session.clock import iso
from fabsched.session.export_records import ExportInput, Written
from fabsched.session.noticed import say, text_of
from fabsched.session.wording import caution, phrase, why

Document = dict[str, Any]


def part_document(
    file: str, name: str, estimate: Estimate, poses: Sequence[Pose] | None = None
) -> Document:
    """One part of `estimate`; fields that do not apply are null, as are poses not asked for."""
    return {
        "file": file,
        "name": name,
        "route": str(estimate.route),
        "machine": estimate.machine,
        "stock": estimate.stock,
        "time_s": quantiles(estimate.seconds),
        "breakdown_s": dict(estimate.breakdown_s),
        "learnt": estimate.learnt,
        "known_prints": estimate.known,
        "volume_mm3": estimate.volume_mm3,
        "mass_g": estimate.mass_g,
        "filament_mm": estimate.filament_mm,
        "cost": estimate.cost,
        "footprint_mm": list(estimate.footprint_mm),
        "height_mm": estimate.height_mm,
        "layers": estimate.layers,
        "contact_mm2": estimate.contact_mm2,
        "support_mm3": estimate.support_mm3,
        "warp": _warp(estimate.warp),
        "smallest_mm": estimate.smallest_mm,
        "times_failing": times_failing(estimate) if estimate.warp else None,
        "cut_mm": estimate.cut_mm,
        "pierces": estimate.pierces,
        "findings": [finding_document(finding) for finding in estimate.findings],
        "poses": _poses(poses),
    }


def rejected_document(
    file: str, error: InputError, poses: Sequence[Pose] | None = None
) -> Document:
    """A file `estimate` cannot use."""
    return {"file": file, "code": str(error.code), "text": say(error), "poses": _poses(poses)}


def _poses(poses: Sequence[Pose] | None) -> list[Document] | None:
    return None if poses is None else [_pose(pose) for pose in poses]


def _pose(pose: Pose) -> Document:
    """One way to print a part; `rough` says that it has not been simulated, as it does not fit."""
    known = pose.estimate
    return {
        "turn_deg": list(pose.turn_deg),
        "fits": pose.fits,
        "rough": known is None,
        "time_s": quantiles(known.seconds if known else pose.rough_s),
        "size_mm": list(pose.size_mm),
        "support_mm3": pose.support_mm3,
        "contact_mm2": pose.contact_mm2,
        "mass_g": known.mass_g if known else None,
        "warp": _warp(known.warp) if known else None,
    }


def finding_document(finding: Finding) -> Document:
    """A remark."""
    return {"code": str(finding.code), "text": text_of(finding)}


def project_document(folder: Path, project: Project) -> Document:
    """What `new` made."""
    return {
        "project": str(folder),
        "name": project.name,
        "zone": project.zone.key,
        "deadline": project.deadline.isoformat(),
        "parts": [
            {
                "id": part.id,
                "name": part.name,
                "file": part.file,
                "route": str(part.route),
                "material": part.material,
                "thickness_mm": part.thickness_mm,
            }
            for part in project.parts
        ],
    }


def plan_document(
    weekend: Weekend, answer: Answer, findings: Sequence[Finding], *, now_s: int
) -> Document:
    """What `plan` found."""
    zone = ZoneInfo(weekend.zone)
    finish_s = answer.course.finish_s if answer.course.finish_s < NEVER else None
    return {
        "now": iso(now_s, zone),
        "deadline": iso(weekend.deadline_s, zone),
        "finish": _moment(finish_s, zone),
        "spare_s": None if finish_s is None else weekend.deadline_s - finish_s,
        "odds": odds_document(answer.odds, zone),
        "wanted_odds": weekend.wanted_odds,
        "runs": [_run(run, answer, zone) for run in _told(weekend, answer)],
        "blocks": [_block(block, zone) for block in answer.course.blocks],
        "order": list(answer.plan.order),
        "dropped": sorted(answer.plan.dropped),
        "advice": [{"code": code, "text": caution(code)} for code in cautions(answer)],
        "findings": [{**finding_document(f), "where": f.where} for f in findings],
        "solver": _solver(answer, now_s),
        "method": answer.method,
    }


def _told(weekend: Weekend, answer: Answer) -> list[Run]:
    """Runs that are carried out, and usual ones of parts that are left out."""
    runs = [activity for activity in weekend.activities if isinstance(activity, Run)]
    carried = [run for run in runs if run.id not in answer.plan.dropped]
    made = {part for run in carried for part, _ in run.cargo}
    return [
        run
        for run in runs
        if run in carried
        or (run.id in weekend.standing and not made.issuperset(part for part, _ in run.cargo))
    ]


def export_document(
    given: ExportInput,
    files: Sequence[Written],
    shapeless: Sequence[str],
    stale: Sequence[Path],
) -> Document:
    """What `export` wrote, and the plan it wrote it for in short."""
    zone, finish_s = ZoneInfo(given.weekend.zone), given.answer.course.finish_s
    return {
        "to": str(given.target),
        "now": iso(given.now_s, zone),
        "deadline": iso(given.weekend.deadline_s, zone),
        "finish": _moment(finish_s, zone),
        "spare_s": given.weekend.deadline_s - finish_s if finish_s < NEVER else None,
        "odds": odds_document(given.answer.odds, zone),
        "files": [
            {"kind": file.kind, "path": str(file.path), "run": file.run or None} for file in files
        ],
        "without_files": list(shapeless),
        "left_over": [str(path) for path in stale],
    }


def quantiles(seconds: Spread) -> Document:
    """P10, P50 and P90 in seconds."""
    return {"p10": seconds.low, "p50": seconds.likely, "p90": seconds.high}


def cautions(answer: Answer) -> tuple[str, ...]:
    """Codes of the usual cautions for what a plan does."""
    runs = [block for block in answer.course.blocks if block.kind is Kind.RUN]
    given: Mapping[str, bool] = {
        "laser": any(block.attended for block in runs),
        "unattended": any(not block.attended for block in runs),
        "fumes": bool(runs),
        "mains": any(block.kind is Kind.WORK for block in answer.course.blocks),
    }
    return tuple(code for code, applies in given.items() if applies)


def _warp(warp: Warp | None) -> Document | None:
    if warp is None:
        return None
    reason = phrase(
        "warp",
        span=round(warp.span_mm),
        area=round(warp.contact_mm2),
        thickness=round(warp.thickness_mm, 1),
        corners=warp.corners,
        ratio=round(warp.section_ratio, 1),
        material=round(warp.material, 2),
    )
    return {"score": str(warp.level), "reason": reason}


def odds_document(odds: Odds, zone: ZoneInfo) -> Document:
    """How sure it is, and when it is done."""
    moments = {"p10": odds.p10_s, "p50": odds.p50_s, "p90": odds.p90_s}
    return {
        "on_time": odds.on_time,
        "standard_error": odds.standard_error,
        "finish": {name: _moment(moment_s, zone) for name, moment_s in moments.items()},
        "scenarios": odds.scenarios,
        "low": odds.low,
        "high": odds.high,
    }


def _run(run: Run, answer: Answer, zone: ZoneInfo) -> Document:
    block = next(
        (b for b in answer.course.blocks if b.activity == run.id and b.kind is Kind.RUN), None
    )
    choice = next((c for c in run.choices if block and c.machine == block.resource), run.choices[0])
    return {
        "id": run.id,
        "what": run.name,
        "machine": choice.machine,
        "start": _moment(block.start_s if block else None, zone),
        "end": _moment(block.end_s if block else None, zone),
        "time_s": quantiles(choice.seconds),
        "attended": run.attended,
        "needed": run.needed,
        "dropped": run.id in answer.plan.dropped,
        "parts": [{"part": part, "copies": copies} for part, copies in run.cargo],
    }


def _block(block: Block, zone: ZoneInfo) -> Document:
    return {
        "id": block.id,
        "activity": block.activity,
        "kind": str(block.kind),
        "what": block.what,
        "resource": block.resource,
        "others": list(block.others),
        "place": block.place,
        "start": iso(block.start_s, zone),
        "end": iso(block.end_s, zone),
        "attended": block.attended,
        "needs": list(block.needs),
        "reason": why(block.reason),
        "reason_code": str(block.reason.code),
        "last_start": _moment(block.last_start_s, zone),
        "last_start_cost": block.last_cost,
    }


def _solver(answer: Answer, now_s: int) -> Document:
    bound_s = answer.solver.bound_s
    return {
        "status": answer.solver.status,
        "bound_s": None if bound_s is None else bound_s - now_s,
        "gap": answer.solver.gap,
    }


def _moment(moment_s: int | None, zone: ZoneInfo) -> str | None:
    return None if moment_s is None or moment_s >= NEVER else iso(moment_s, zone)
