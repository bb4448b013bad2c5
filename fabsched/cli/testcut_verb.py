"""`fabsched testcut`: a ladder of test cuts put out as files, and its outcome entered."""

import json
from argparse import Namespace
from datetime import date, datetime
from pathlib import Path

from fabsched.cli.documents import finding_document
from fabsched.cli.tables import console
from fabsched.files.project_toml import THICKNESS
from fabsched.files.shop_toml import find_shop, read_shop
from fabsched.files.toml_read import shown
from fabsched.model.errors import Fault, InputError
from fabsched.model.ladder import Outcome
from fabsched.session.clock import duration
from fabsched.session.ladders import Noted, PutOut, laser_of, note, put_out, sheet_of
from fabsched.session.noticed import say
from fabsched.session.wording import caution, figure, phrase, sides_text

FEEDS = (0.01, 2000.0)
"""Feeds that can be asked for, in mm/s, as in the material tables."""
PASSES = (1, 50)


def testcut(arguments: Namespace, now: datetime) -> None:
    """Put a ladder out, or enter what came of one.

    Args:
        arguments: the command line.
        now: the present moment, zone-aware.

    Raises:
        InputError: an option, the shop, the ladder's file or its outcome is at fault.
    """
    if arguments.deed == "out":
        _tell_out(_out(arguments), arguments)
    else:
        _tell_entered(_enter(arguments, now.date()), as_json=arguments.json)


def _out(arguments: Namespace) -> PutOut:
    shop = read_shop(arguments.shop or find_shop(Path()))
    _check_range(arguments.thickness, THICKNESS.low, THICKNESS.high, "--thickness")
    _check_range(arguments.feed, *FEEDS, "--feed")
    _check_range(arguments.passes, *PASSES, "--passes")
    return put_out(
        laser_of(shop, arguments.machine, "--machine"),
        sheet_of(shop, arguments.material, "--material"),
        arguments.thickness,
        arguments.to,
        feed_mm_s=arguments.feed,
        passes=arguments.passes,
    )


def _check_range(value: float | None, low: float, high: float, where: str) -> None:
    if value is not None and not low <= value <= high:
        raise InputError(Fault.FIELD_OUT_OF_RANGE, where, value=value, low=low, high=high)


def _tell_out(made: PutOut, arguments: Namespace) -> None:
    ladder, findings = made.drawn.ladder, made.drawn.findings
    if arguments.json:
        document = {
            "files": [str(path) for path in made.files],
            "feeds_mm_s": list(ladder.feeds_mm_s),
            "passes": ladder.passes,
            "size_mm": list(made.drawn.size_mm),
            "time_s": made.drawn.seconds,
            "findings": [finding_document(finding) for finding in findings],
        }
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
        return
    out = console()
    size = sides_text(made.drawn.size_mm)
    out.print(phrase("ladder-made", size=size, time=duration(made.drawn.seconds)))
    for path in made.files:
        out.print(f"  {path}", markup=False)
    feeds = ", ".join(f"{n}: {figure(feed)}" for n, feed in enumerate(ladder.feeds_mm_s, start=1))
    out.print(phrase("ladder-feeds", feeds=feeds, passes=ladder.passes))
    out.print(phrase("ladder-next", file=str(made.files[-1])), markup=False)
    for text in (*(say(finding) for finding in findings), caution("laser")):
        out.print(f"- {text}", markup=False)


def _enter(arguments: Namespace, today: date) -> Noted:
    outcome = Outcome(
        fell=arguments.fell,
        day=_day(arguments.on) if arguments.on else today,
        square_mm=arguments.square,
        hole_mm=arguments.hole,
        fits=arguments.fits,
    )
    return note(arguments.file, outcome, arguments.shop or find_shop(Path()))


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        facts = {"value": shown(text), "example": "--on 2026-10-25"}
        raise InputError(Fault.FIELD_MALFORMED, "--on", **facts) from error


def _tell_entered(noted: Noted, *, as_json: bool) -> None:
    setting, ladder = noted.setting, noted.ladder
    feed = setting.feed_mm_s
    if as_json:
        document = {
            "shop_file": str(noted.shop_file),
            "material": ladder.material,
            "thickness_mm": setting.thickness_mm,
            "power_w": setting.power_w,
            "feed_mm_s": [feed.low, feed.likely, feed.high],
            "passes": setting.passes,
            "kerf_mm": setting.kerf_mm,
            "source": setting.source,
            "findings": [finding_document(finding) for finding in noted.findings],
        }
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
        return
    text = phrase(
        "ladder-noted",
        file=str(noted.shop_file),
        material=ladder.material,
        thickness=setting.thickness_mm,
        feed=feed.likely,
        low=feed.low,
        high=feed.high,
        kerf=setting.kerf_mm,
    )
    console().print(text, markup=False)
    for finding in noted.findings:
        console().print(f"- {say(finding)}", markup=False)
