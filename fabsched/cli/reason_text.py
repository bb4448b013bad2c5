"""The reasons of a plan, in words and as documents."""

from collections.abc import Iterator, Mapping
from zoneinfo import ZoneInfo

from fabsched.cli.documents import Document
from fabsched.cli.tables import console
from fabsched.model.plan import Answer, Block, Kind
from fabsched.model.weekend import Hands, Station, Weekend
from fabsched.model.windows import Windows
from fabsched.schedule.chains import precedes
from fabsched.session.clock import iso
from fabsched.session.reason_words import apart_lines, chain_text, gain_lines, settled_text
from fabsched.session.wording import phrase

MOST_TOLD = 4
"""So many lines of a kind are told in a terminal; the document has all."""


def print_reasons(weekend: Weekend, answer: Answer) -> None:
    """Print what decides the finish, what would move it, what was decided and what is kept apart."""
    from fabsched.session.reasons import reasons_of  # noqa: PLC0415 - heavy

    found, names = reasons_of(weekend, answer), names_of(weekend)
    chain = chain_text(answer.course.blocks, found.chain)
    moving = list(gain_lines(found.gains, names)) or [phrase("gains-none")]
    taken = (each for each in found.settled if each.taken)
    sections = {
        "chain-title": [chain] if chain else [],
        "gains-title": moving if found.gains else [],
        "decided-title": [settled_text(each, names) for each in taken],
        "apart-title": list(apart_lines(found.isolated, names)),
    }
    for title, lines in sections.items():
        if lines:
            console().print("\n" + phrase(title), style="bold")
        for line in lines[:MOST_TOLD]:
            console().print(f"- {line}")


def names_of(weekend: Weekend) -> dict[str, str]:
    """What activities are called, by id."""
    return {activity.id: activity.name for activity in weekend.activities}


def explained(document: Document, weekend: Weekend, answer: Answer) -> Document:
    """The document of a plan with the reasons for it, and for each of its blocks."""
    more = _of_blocks(weekend, answer)
    blocks = [a | b for a, b in zip(document["blocks"], more, strict=True)]
    return document | _of_plan(weekend, answer) | {"blocks": blocks}


def _of_plan(weekend: Weekend, answer: Answer) -> Document:
    """Keys of the document: the chain, what is kept apart, what was decided, what moves most."""
    from fabsched.session.reasons import reasons_of  # noqa: PLC0415 - heavy

    found, names = reasons_of(weekend, answer), names_of(weekend)
    return {
        "chain": list(found.chain),
        "isolated": [
            {
                "runs": list(each.runs),
                "instead": each.swap.name,
                "code": str(each.code),
                "lost_s": each.lost_s,
                "saved_s": each.saved_s,
                "text": text,
            }
            for each, text in zip(found.isolated, apart_lines(found.isolated, names), strict=True)
        ],
        "decided": [
            {
                "id": each.swap.id,
                "kind": str(each.swap.kind),
                "what": each.swap.name,
                "taken": each.taken,
                "into": sorted(each.swap.into),
                "out": sorted(each.swap.out),
                "text": settled_text(each, names),
            }
            for each in found.settled
        ],
        "moves_most": [
            {
                "activity": gain.activity,
                "what": names.get(gain.activity, gain.activity),
                "quicker_s": gain.quicker_s,
                "sooner_s": gain.sooner_s,
            }
            for gain in found.gains
        ],
    }


def _of_blocks(weekend: Weekend, answer: Answer) -> Iterator[Document]:
    """For each block what waits for it, and the open hours it lies in."""
    zone, before = ZoneInfo(weekend.zone), precedes(answer.course)
    lanes = _lanes(weekend)
    sites = {site.id: site.windows for site in weekend.sites}
    for block in answer.course.blocks:
        windows = lanes[block.resource]
        if block.kind not in {Kind.TRAVEL, Kind.RUN}:
            windows = windows & sites[block.place]
        mine = () if block.kind is Kind.TRAVEL else before.get(block.activity, ())
        yield {"then": list(mine), "window": _window(windows, block, zone)}


def _lanes(weekend: Weekend) -> Mapping[str, Windows]:
    lanes: tuple[Hands | Station, ...] = (*weekend.hands, *weekend.stations)
    return {lane.id: lane.windows for lane in lanes}


def _window(windows: Windows, block: Block, zone: ZoneInfo) -> Document | None:
    """The open hours a block begins in; None for what goes on outside of any."""
    for start_s, end_s in windows:
        if start_s <= block.start_s < end_s:
            return {"from": iso(start_s, zone), "until": iso(end_s, zone)}
    return None
