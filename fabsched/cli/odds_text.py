"""The odds with what bears on them, as people read them in a terminal."""

from collections.abc import Mapping, Sequence
from zoneinfo import ZoneInfo

from fabsched.cli.plan_text import odds_lines
from fabsched.cli.tables import console, print_table
from fabsched.model.project import Project
from fabsched.model.weekend import Weekend
from fabsched.odds.told import Outlook, Setback
from fabsched.session.clock import duration, short
from fabsched.session.odds_records import OddsTold
from fabsched.session.odds_words import danger_text, decision_lines, names_of, points, range_text
from fabsched.session.wording import phrase, setback, share

MOST_SETBACKS = 8
"""So many setbacks are told in a terminal; the document has all."""
LEAST_COST = 0.005
"""Setbacks that cost less than this chance are not told in a terminal."""


def print_odds(project: Project, weekend: Weekend, found: OddsTold) -> None:
    """Print the odds, what setbacks cost, when to decide anew, and the course."""
    out, names = console(), names_of(project, weekend)
    out.print(project.name, style="bold")
    for line in (*odds_lines(weekend, found.odds), range_text(found.odds)):
        if line:
            out.print(line)
    _print_setbacks(found.setbacks, names)
    danger = danger_text(found.dangers, names)
    if danger:
        out.print(danger)
    if found.decisions:
        out.print("\n" + phrase("decide-title"), style="bold")
    for line in decision_lines(found.decisions, names, weekend):
        out.print(f"- {line}")
    _print_course(found.outlooks, weekend)


def _print_setbacks(setbacks: Sequence[Setback], names: Mapping[str, str]) -> None:
    told = [each for each in setbacks if each.cost >= LEAST_COST][:MOST_SETBACKS]
    console().print("\n" + phrase("setbacks-title" if told else "no-setbacks"), style="bold")
    if told:
        rows = [
            (points(each.cost), setback(each.kind, names.get(each.id, each.id)), share(each.chance))
            for each in told
        ]
        print_table((">costs", "what", ">happens in"), rows)


def _print_course(outlooks: Sequence[Outlook], weekend: Weekend) -> None:
    console().print("\n" + phrase("course-title"), style="bold")
    zone = ZoneInfo(weekend.zone)
    rows = [
        (
            short(each.moment_s, zone, weekend.begin_s),
            duration(max(0, each.left_s)),
            _needed(each.p50_s),
            _needed(each.p90_s),
            share(each.on_time),
        )
        for each in outlooks
    ]
    print_table((">when", ">left", ">half need", ">nine in ten need", ">on time"), rows)


def _needed(seconds: int | None) -> str:
    return phrase("never") if seconds is None else duration(max(0, seconds))
