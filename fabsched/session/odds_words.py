"""What bears on the odds of a plan, in sentences."""

from collections.abc import Iterator, Mapping, Sequence
from zoneinfo import ZoneInfo

from fabsched.model.plan import Answer, Odds
from fabsched.model.project import Project
from fabsched.model.weekend import Turn, Weekend
from fabsched.odds.told import Danger, Decision, most_dangerous
from fabsched.session.clock import duration, long, up
from fabsched.session.wording import phrase, share, swap

WIDE = 0.1
"""A range as wide as this is worth telling in few words (our own choice)."""


def names_of(project: Project, weekend: Weekend) -> dict[str, str]:
    """What runs, work and gates are called, by the ids setbacks and dangers have."""
    activities = {activity.id: activity.name for activity in weekend.activities}
    return activities | {item.id: item.name for item in project.items if item.id in _of(weekend)}


def _of(weekend: Weekend) -> frozenset[str]:
    """Ids of works that are one task or several."""
    return frozenset(getattr(activity, "of", "") for activity in weekend.activities)


def range_text(odds: Odds) -> str:
    """The odds as a range; empty if there is none, or nothing in it."""
    if odds.low is None or odds.high is None or odds.low == odds.high:
        return ""
    return phrase("odds-range", low=share(odds.low), high=share(odds.high))


def doubt_text(odds: Odds) -> str:
    """The same where both ends lie far apart, for where there is little room; else empty."""
    wide = odds.low is not None and odds.high is not None and odds.high - odds.low >= WIDE
    return range_text(odds) if wide else ""


def done_text(odds: Odds, weekend: Weekend) -> str:
    """That all that is needed is done, when, and how long before or after the deadline.

    Empty while any of it is left to do.
    """
    if odds.done_s is None:
        return ""
    zone = ZoneInfo(weekend.zone)
    left_s = weekend.deadline_s - up(odds.done_s)
    code = "done-before" if left_s >= 0 else "done-after"
    finish = long(up(odds.done_s), zone, weekend.begin_s)
    return phrase(code, finish=finish, time=duration(abs(left_s)))


def rest_text(answer: Answer) -> str:
    """Whether anything is left once all that is needed is done."""
    carried = set(answer.plan.order) - set(answer.plan.dropped)
    return phrase("done-optional" if carried else "done-nothing")


def danger_text(dangers: Sequence[Danger], names: Mapping[str, str]) -> str:
    """Which block is the most dangerous; empty if none is."""
    worst = most_dangerous(dangers)
    if worst is None:
        return ""
    return phrase("danger", what=names.get(worst.id, worst.id), cost=points_text(worst.cost))


def decision_lines(
    decisions: Sequence[Decision], names: Mapping[str, str], weekend: Weekend
) -> Iterator[str]:
    """Until when things should be done; what holds for all that name no other way comes once, last."""
    for each in decisions:
        yield decision_text(each, names, weekend)
    if any(each.instead is None for each in decisions):
        yield phrase("decide-open")


def decision_text(decision: Decision, names: Mapping[str, str], weekend: Weekend) -> str:
    """Until when something should be done, and what to do if it is not."""
    facts = {
        "what": names.get(decision.id, decision.id),
        "by": long(decision.by_s, ZoneInfo(weekend.zone), weekend.begin_s),
        "share": share(decision.on_time),
    }
    if decision.instead is None or decision.turn is None:
        return phrase("decide", **facts)
    if decision.turn is Turn.DROP:
        return phrase("decide-drop", **facts, other=decision.other, instead=share(decision.instead))
    done = swap(decision.turn, what=decision.other)
    return phrase("decide-other", **facts, other=done, instead=share(decision.instead))


def points_text(part: float) -> str:
    """The same with its unit.

    >>> points_text(0.034), points_text(0.012)
    ('3 points', '1 point')
    """
    number = points(part)
    return phrase("point" if number == "1" else "points", number=number)


def points(part: float) -> str:
    """A difference of chances, in points of a hundred.

    >>> points(0.034), points(0.0), points(-0.01)
    ('3', '0', '\u22121')
    """
    return f"{round(100 * part) or 0}".replace("-", "\u2212")
