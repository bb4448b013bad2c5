"""What `log --json` prints, and what `replan --json` adds to a plan."""

from collections.abc import Iterable, Mapping, Sequence
from zoneinfo import ZoneInfo

from fabsched.advise.options import Option
from fabsched.cli.documents import Document, odds_document
from fabsched.cli.log_text import change_text, event_text, option_text
from fabsched.model.log import Entry, Remedy, holding
from fabsched.model.windows import NEVER
from fabsched.schedule.changes import Change
from fabsched.session.clock import iso
from fabsched.session.log_requests import ReplanResponse
from fabsched.session.way_records import Pieces


def choice_name(remedy: Remedy) -> str:
    """What a choice is called on the command line.

    >>> from fabsched.model.log import Cure
    >>> choice_name(Remedy(cure=Cure.MACHINE, subject="lid", machine="two"))
    'machine:two'
    >>> choice_name(Remedy(cure=Cure.APART, subject="lid", swap="bed-apart-lid", beds=2))
    'apart:2'
    """
    turn = ",".join(f"{degrees:g}" for degrees in remedy.turn_deg or ())
    own = str(remedy.beds) if remedy.beds else remedy.machine or remedy.swap
    detail = f"{remedy.part}:{turn}" if turn else own
    return f"{remedy.cure}:{detail}" if detail else str(remedy.cure)


def log_document(
    entries: Sequence[Entry],
    told: Iterable[Entry] | None,
    zone: ZoneInfo,
    names: Mapping[str, str],
) -> Document:
    """All entries, and those that this call was about (null if it only listed)."""
    held = {entry.id for entry in holding(entries)}
    return {
        "told": None if told is None else [_entry(e, held, zone, names, entries) for e in told],
        "entries": [_entry(e, held, zone, names, entries) for e in entries],
    }


def _entry(
    entry: Entry,
    held: set[int],
    zone: ZoneInfo,
    names: Mapping[str, str],
    known: Sequence[Entry],
) -> Document:
    seconds = entry.meant.seconds
    return {
        "id": entry.id,
        "kind": str(entry.kind),
        "at": iso(entry.moment_s, zone),
        "noted": iso(entry.noted_s, zone),
        "subject": entry.subject or None,
        "what": entry.meant.name or None,
        "machine": entry.meant.machine or None,
        "person": entry.meant.person or None,
        "helpers": list(entry.meant.helpers),
        "items": [{"id": ident, "copies": count} for ident, count in entry.meant.items],
        "time_s": None
        if seconds is None
        else {"p10": seconds.low, "p50": seconds.likely, "p90": seconds.high},
        "share": entry.share,
        "until": _moment(entry.until_s, zone),
        "why": entry.why or None,
        "replaces": entry.replaces or None,
        "of": list(entry.of),
        "holds": entry.id in held,
        "text": event_text(entry, zone, names, known),
    }


def replan_document(
    found: ReplanResponse,
    options: Iterable[Option],
    zone: ZoneInfo,
    pieces: Iterable[Pieces] = (),
) -> Document:
    """What a re-planned weekend says beside its plan.

    Args:
        found: the weekend.
        options: the choices after what went wrong, to be taken by their ids.
        zone: where moments are shown.
        pieces: the choices that `fabsched compare` takes by part and plates.
    """
    rest = found.rest
    trouble = rest.trouble
    return {
        "done": sorted(rest.done),
        "going": sorted(rest.going),
        "kept_on_time": rest.kept_on_time,
        "changes": [_change(change, zone) for change in rest.changes],
        "failed": trouble.subject if trouble else None,
        "options": [
            *(_option(option, zone) for option in options),
            *(_pieces(each, zone) for each in pieces),
        ],
    }


def _change(change: Change, zone: ZoneInfo) -> Document:
    return {
        "code": str(change.kind),
        "subject": change.subject or None,
        "was": _moment(change.was_s, zone),
        "now": _moment(change.now_s, zone),
        "text": change_text(change, zone),
    }


def _option(option: Option, zone: ZoneInfo) -> Document:
    finish_s = option.answer.course.finish_s
    return {
        "id": choice_name(option.remedy),
        "subject": option.remedy.subject,
        "text": option_text(option),
        "odds": odds_document(option.answer.odds, zone),
        "finish": _moment(finish_s, zone),
        "hands_s": option.hands_s,
        "machine_s": option.machine_s,
        "mass_g": option.mass_g,
        "sheets": list(option.sheets),
        "spent_s": option.spent_s,
        "lost_g": option.lost_g,
        "turn_deg": list(option.remedy.turn_deg) if option.remedy.turn_deg else None,
        "size_mm": list(option.size_mm) if option.size_mm else None,
        "part": option.remedy.part or None,
        "plates": None,
    }


def _pieces(pieces: Pieces, zone: ZoneInfo) -> Document:
    plates = [number + 1 for number in pieces.way.pick]
    return {**_option(pieces.option, zone), "id": None, "part": pieces.part, "plates": plates}


def _moment(moment_s: int | None, zone: ZoneInfo) -> str | None:
    return None if moment_s is None or moment_s >= NEVER else iso(moment_s, zone)
