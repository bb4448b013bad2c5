"""Entries of the log as JSON text and back.

Fields that say nothing are left out, so that a line stays readable, and fields may be added later.
"""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from fabsched.model.log import Cure, Entry, Event, InHand, Meant, Remedy, Sort
from fabsched.model.plan import Plan
from fabsched.model.spread import Spread

Json = dict[str, Any]


def body_of(entry: Entry) -> str:
    """Everything of an entry but what has a column of its own: id, kind, subject and moments."""
    body = {
        "meant": _meant_json(entry.meant),
        "share": entry.share,
        "until_s": entry.until_s,
        "was_s": entry.was_s,
        "why": entry.why or None,
        "replaces": entry.replaces or None,
        "of": list(entry.of) or None,
        "plan": plan_json(entry.plan) if entry.plan else None,
        "remedy": _remedy_json(entry.remedy) if entry.remedy else None,
    }
    return json.dumps(_said(body), ensure_ascii=False, separators=(",", ":"))


def entry_of(row: tuple[int, int, int, str, str], body: str) -> Entry:
    """The entry of a row.

    Args:
        row: id, moment and time of writing in seconds, kind and subject.
        body: what `body_of` gave.

    Raises:
        ValueError, TypeError, KeyError: it is no entry.
    """
    ident, moment_s, noted_s, kind, subject = row
    told: Json = json.loads(body)
    return Entry(
        id=ident,
        moment_s=moment_s,
        noted_s=noted_s,
        kind=Event(kind),
        subject=subject,
        meant=_meant(told.get("meant", {})),
        share=told.get("share"),
        until_s=told.get("until_s"),
        was_s=told.get("was_s"),
        why=told.get("why", ""),
        replaces=told.get("replaces", 0),
        of=tuple(told.get("of", ())),
        plan=plan_of(told["plan"]) if "plan" in told else None,
        remedy=_remedy(told["remedy"]) if "remedy" in told else None,
    )


def _said(fields: Mapping[str, Any]) -> Json:
    """Only fields that say something; a share of nothing does."""
    return {name: value for name, value in fields.items() if value is not None}


def _meant_json(meant: Meant) -> Json | None:
    fields = {
        "name": meant.name or None,
        "sort": meant.sort,
        "items": [list(item) for item in meant.items] or None,
        "share": None if meant.share == 1.0 else meant.share,
        "machine": meant.machine or None,
        "person": meant.person or None,
        "helpers": list(meant.helpers) or None,
        "place": meant.place or None,
        "seconds": _spread_json(meant.seconds),
        "computed_s": meant.computed_s or None,
        "foretold": _spread_json(meant.foretold),
        "start_s": meant.start_s or None,
        "clear_s": meant.clear_s or None,
        "redo": list(meant.redo) or None,
    }
    return _said(fields) or None


def _meant(told: Json) -> Meant:
    return Meant(
        name=told.get("name", ""),
        sort=Sort(told["sort"]) if "sort" in told else None,
        items=tuple((ident, count) for ident, count in told.get("items", ())),
        share=told.get("share", 1.0),
        machine=told.get("machine", ""),
        person=told.get("person", ""),
        helpers=tuple(told.get("helpers", ())),
        place=told.get("place", ""),
        seconds=_spread(told.get("seconds")),
        computed_s=told.get("computed_s", 0.0),
        foretold=_spread(told.get("foretold")),
        start_s=told.get("start_s", 0),
        clear_s=told.get("clear_s", 0),
        redo=tuple(told.get("redo", ())),
    )


def plan_json(in_hand: InHand) -> Json:
    """A plan in hand."""
    return {
        "order": list(in_hand.plan.order),
        "dropped": sorted(in_hand.plan.dropped),
        "starts_s": [list(pair) for pair in in_hand.starts_s],
        "on_time": in_hand.on_time,
        "deadline_s": in_hand.deadline_s,
        "meant": [[ident, _meant_json(meant) or {}] for ident, meant in in_hand.meant],
    }


def plan_of(told: Json) -> InHand:
    """The plan that `plan_json` wrote.

    Raises:
        ValueError, TypeError, KeyError: it is none.
    """
    return InHand(
        plan=Plan(order=tuple(told["order"]), dropped=frozenset(told["dropped"])),
        starts_s=tuple((ident, start_s) for ident, start_s in told["starts_s"]),
        on_time=told["on_time"],
        deadline_s=told["deadline_s"],
        meant=tuple((ident, _meant(meant)) for ident, meant in told.get("meant", ())),
    )


def _remedy_json(remedy: Remedy) -> Json:
    fields = {
        "cure": remedy.cure,
        "subject": remedy.subject,
        "machine": remedy.machine or None,
        "factor": remedy.factor,
        "risk": remedy.risk,
        "seconds": _spread_json(remedy.seconds),
        "swap": remedy.swap or None,
        "beds": remedy.beds or None,
        "detail": remedy.detail or None,
        "part": remedy.part or None,
        "turn_deg": list(remedy.turn_deg) if remedy.turn_deg else None,
        "was_deg": list(remedy.was_deg) if remedy.turn_deg else None,
    }
    return _said(fields)


def _remedy(told: Json) -> Remedy:
    return Remedy(
        cure=Cure(told["cure"]),
        subject=told["subject"],
        machine=told.get("machine", ""),
        factor=told["factor"],
        risk=told["risk"],
        seconds=_spread(told.get("seconds")),
        swap=told.get("swap", ""),
        beds=told.get("beds", 0),
        detail=told.get("detail", ""),
        part=told.get("part", ""),
        turn_deg=_turn(told["turn_deg"]) if "turn_deg" in told else None,
        was_deg=_turn(told.get("was_deg", (0.0, 0.0, 0.0))),
    )


def _turn(told: Iterable[float]) -> tuple[float, float, float]:
    x, y, z = told
    return float(x), float(y), float(z)


def _spread_json(spread: Spread | None) -> list[float] | None:
    return None if spread is None else [spread.low, spread.likely, spread.high]


def _spread(told: list[float] | None) -> Spread | None:
    return None if told is None else Spread(*told)
