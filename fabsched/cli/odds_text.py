"""The odds with what bears on them, as people read them in a terminal."""

from collections.abc import Mapping, Sequence
from zoneinfo import ZoneInfo

from fabsched.cli.plan_text import odds_lines
from fabsched.cli.tables import console, print_table
from fabsched.model.plan import Odds
from fabsched.model.project import Project
from fabsched.model.weekend import Weekend
from fabsched.odds.dangers import Danger, most_dangerous
from fabsched.odds.decisions import Decision
from fabsched.odds.outlook import Outlook
from fabsched.odds.setbacks import Setback
from fabsched.session.clock import duration, long, short
from fabsched.session.odds_records import OddsTold
from fabsched.session.wording import phrase, setback, share, swap

MOST_SETBACKS = 8
"""So many setbacks are told in a terminal; the document has all."""
LEAST_COST = 0.005
"""Setbacks that cost less than this chance are not told in a terminal."""


def names_of(project: Project, weekend: Weekend) -> dict[str, str]:
    """What runs, work and gates are called, by the ids setbacks and dangers have."""
    activities = {activity.id: activity.name for activity in weekend.activities}
    return activities | {item.id: item.name for item in project.items if item.id in _of(weekend)}


def _of(weekend: Weekend) -> frozenset[str]:
    """Ids of works that are one task or several."""
    return frozenset(getattr(activity, "of", "") for activity in weekend.activities)


def print_odds(project: Project, weekend: Weekend, found: OddsTold) -> None:
    """Print the odds, what setbacks cost, when to decide anew, and the course."""
    out, names = console(), names_of(project, weekend)
    out.print(project.name, style="bold")
    for line in (*odds_lines(weekend, found.odds), range_line(found.odds)):
        if line:
            out.print(line)
    _print_setbacks(found.setbacks, names)
    danger = danger_line(found.dangers, names)
    if danger:
        out.print(danger)
    if found.decisions:
        out.print("\n" + phrase("decide-title"), style="bold")
    for decision in found.decisions:
        out.print(f"- {decision_text(decision, names, weekend)}")
    _print_course(found.outlooks, weekend)


def range_line(odds: Odds) -> str:
    """The odds as a range; empty if there is none."""
    if odds.low is None or odds.high is None:
        return ""
    return phrase("odds-range", low=share(odds.low), high=share(odds.high))


def danger_line(dangers: Sequence[Danger], names: Mapping[str, str]) -> str:
    """Which block is the most dangerous; empty if none is."""
    worst = most_dangerous(dangers)
    if worst is None:
        return ""
    return phrase("danger", what=names.get(worst.id, worst.id), cost=points(worst.cost))


def decision_text(decision: Decision, names: Mapping[str, str], weekend: Weekend) -> str:
    """Until when something should be done, and what to do if it is not."""
    facts = {
        "what": names.get(decision.id, decision.id),
        "by": long(decision.by_s, ZoneInfo(weekend.zone), weekend.begin_s),
        "share": share(decision.on_time),
    }
    if decision.instead is None:
        return phrase("decide", **facts)
    other = next(each for each in weekend.swaps if each.id == decision.swap)
    done = swap(other.kind, what=other.name)
    return phrase("decide-other", **facts, other=done, instead=share(decision.instead))


def points(part: float) -> str:
    """A difference of chances, in points of a hundred.

    >>> points(0.034), points(0.0), points(-0.01)
    ('3', '0', '-1')
    """
    return f"{round(100 * part) or 0}"


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
