"""`fabsched missing`: what is not in hand before the weekend begins, and by when to buy it."""

import json
from argparse import Namespace
from datetime import datetime

from fabsched.advise.ready import Lack
from fabsched.advise.wiring import WiringRoom, wiring_room
from fabsched.cli.arguments import UsageError
from fabsched.cli.documents import Document
from fabsched.cli.fit_text import obstacle_documents, print_obstacles
from fabsched.cli.planning import moment_of, planned, tell
from fabsched.cli.surroundings import Surroundings
from fabsched.cli.tables import console, print_table
from fabsched.model.errors import InputError
from fabsched.session.bench import Bench
from fabsched.session.clock import iso, long
from fabsched.session.noticed import say, text_of
from fabsched.session.pool import Pool
from fabsched.session.ready import Readiness, readiness
from fabsched.session.ready_words import by_text
from fabsched.session.requests import PlanResponse
from fabsched.session.wiring_words import wiring_text
from fabsched.session.wording import figure, phrase


def missing(arguments: Namespace, surroundings: Surroundings) -> bool:
    """Plan the project and print what is missing, what is easily mixed up, and room for wires.

    Returns:
        Whether no file, hour or way is at fault; what has to be bought is no fault.

    Raises:
        InputError: `project.toml` or the shop file is at fault.
        WorkerLost: a worker process died.
    """
    room = _room(arguments)
    bench = Bench.open(arguments.project)
    now = moment_of(arguments.now, bench, surroundings)
    now_s = int(now.timestamp())
    found = readiness(bench, *_planned(bench, now, arguments.seed), now_s)
    if arguments.json:
        document = _document(bench, found, room, now_s)
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
    else:
        _print(bench, found, room, now_s)
    for fault in found.faults:
        tell(say(fault))
    return not found.faults


def _planned(
    bench: Bench, now: datetime, seed: int
) -> tuple[PlanResponse | None, InputError | None]:
    """The plan, or why there is none.

    Raises:
        WorkerLost: a worker process died.
    """
    with Pool() as pool:
        try:
            return planned(bench, now, seed, pool), None
        except InputError as error:
            return None, error


def _room(arguments: Namespace) -> WiringRoom | None:
    """Room for wires, if both cables and channel are given.

    Raises:
        UsageError: only one of them is.
    """
    if (arguments.cables is None) != (arguments.channel is None):
        raise UsageError("fabsched missing: --cables and --channel go together; see --help")
    if arguments.cables is None:
        return None
    return wiring_room(arguments.cables, arguments.channel)


def _print(bench: Bench, found: Readiness, room: WiringRoom | None, now_s: int) -> None:
    out = console()
    out.print(bench.project.name, style="bold")
    out.print(
        phrase("ready-yes") if found.is_ready else phrase("ready-no", count=found.open_points)
    )
    _print_lacks(bench, found, now_s)
    if not found.counted:
        out.print(phrase("lacks-uncounted"))
    elif not found.lacks:
        out.print(phrase("lacks-none"))
    print_obstacles(found.obstacles)
    if found.obstacles:
        out.print()
    for component in found.mixed_up:
        out.print(f"- {phrase('mixed-up', what=component.name, note=component.note)}")
    for channel, inside in found.wirings:
        out.print(f"- {wiring_text(inside, channel.name)}")
    if room is not None:
        out.print(wiring_text(room))


def _print_lacks(bench: Bench, found: Readiness, now_s: int) -> None:
    """What is not in hand: to be bought, or on its way."""
    out = console()
    if to_buy := [lack for lack in found.lacks if lack.expected_s is None]:
        columns = ("what", ">have", ">buy", ">by", "for")
        out.print(phrase("lacks-title"))
        print_table(columns, [_row(bench, lack, now_s) for lack in to_buy])
    for lack in found.lacks:
        if lack.expected_s is not None:
            out.print(f"- {_coming(bench, lack, lack.expected_s, now_s)}")
    if found.lacks:
        out.print(phrase("lacks-then"))


def _coming(bench: Bench, lack: Lack, expected_s: int, now_s: int) -> str:
    by = long(expected_s, bench.project.zone, now_s)
    return phrase("lack-coming", what=lack.what, count=figure(lack.buy), by=by)


def _row(bench: Bench, lack: Lack, now_s: int) -> tuple[str, ...]:
    zone = bench.project.zone
    names = {item.id: item.name for item in bench.project.items}
    unit = f" {lack.unit}" if lack.unit else ""
    spare = "" if lack.essential else phrase("buy-spares")
    return (
        lack.what,
        f"{figure(lack.have)}{unit}",
        f"{figure(lack.buy)}{unit}",
        by_text(lack, zone, now_s),
        " ".join(text for text in (names.get(lack.first, lack.first), spare) if text),
    )


def _document(bench: Bench, found: Readiness, room: WiringRoom | None, now_s: int) -> Document:
    zone = bench.project.zone
    return {
        "project": bench.project.name,
        "now": iso(now_s, zone),
        "ready": found.is_ready,
        "buy": [
            {
                "id": lack.id,
                "what": lack.what,
                "buy": lack.buy,
                "unit": lack.unit or None,
                "have": lack.have,
                "essential": lack.essential,
                "by": iso(lack.by_s, zone),
                "too_late": lack.is_too_late(now_s),
                "expected": iso(lack.expected_s, zone) if lack.expected_s else None,
                "for": lack.first or None,
            }
            for lack in found.lacks
        ],
        "faults": [
            {"code": str(error.code), "where": error.where, "text": text_of(error)}
            for error in found.faults
        ],
        "obstacles": obstacle_documents(found.obstacles),
        "mixed_up": [
            {"id": each.id, "what": each.name, "note": each.note} for each in found.mixed_up
        ],
        "wiring": None if room is None else _wiring(room),
        "channels": [
            {"id": channel.id, "what": channel.name, **_wiring(inside)}
            for channel, inside in found.wirings
        ],
    }


def _wiring(room: WiringRoom) -> Document:
    return {
        "cables": room.cables,
        "bundle_mm2": room.bundle_mm2,
        "channel_mm2": room.channel_mm2,
        "fill": room.fill,
        "limit": room.limit,
        "fits": room.fits,
        "least_mm2": room.least_mm2,
    }
