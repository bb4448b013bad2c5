"""What the page of the odds says. No Qt here."""

from collections.abc import Iterator, Mapping, Sequence
from zoneinfo import ZoneInfo

from fabsched.desktop.words import capital
from fabsched.model.plan import Course
from fabsched.model.project import Project
from fabsched.model.weekend import Weekend
from fabsched.odds.told import Danger, Outlook, Setback, most_dangerous
from fabsched.schedule.chains import Gain
from fabsched.schedule.isolation import Isolated
from fabsched.session.clock import duration, short
from fabsched.session.wording import alone, phrase, setback, share

LEAST_COST = 0.005
"""Setbacks that cost less than this chance are not shown."""
MOST_SHOWN = 12
"""So many setbacks are shown."""
MOST_GAINS = 5
"""So many things that would move the finish are told."""

Names = Mapping[str, str]


def worth_telling(setbacks: Sequence[Setback]) -> tuple[Setback, ...]:
    """The costliest setbacks."""
    return tuple(each for each in setbacks if each.cost >= LEAST_COST)[:MOST_SHOWN]


def setback_text(each: Setback, names: Names) -> str:
    """What goes wrong, and how often."""
    what = capital(setback(each.kind, names.get(each.id, each.id)))
    return phrase("setback-line", what=what, share=share(each.chance))


def wrong_text(dangers: Sequence[Danger], names: Names) -> str:
    """How often the most dangerous thing goes badly wrong, and how often where it is late."""
    worst = most_dangerous(dangers)
    if worst is None or worst.wrong_if_late is None:
        return ""
    facts = {"share": share(worst.wrong), "late": share(worst.wrong_if_late)}
    return phrase("danger-wrong", what=names.get(worst.id, worst.id), **facts)


def gain_lines(gains: Sequence[Gain], names: Names) -> Iterator[str]:
    """What would move the finish most; what would not move it is left out."""
    for gain in [each for each in gains if each.sooner_s > 0][:MOST_GAINS]:
        yield phrase(
            "gain",
            what=names.get(gain.activity, gain.activity),
            quicker=duration(gain.quicker_s),
            sooner=duration(gain.sooner_s),
        )


def apart_lines(found: Sequence[Isolated], names: Names) -> Iterator[str]:
    """What is kept apart, and why."""
    for each in found:
        what = ", ".join(dict.fromkeys(names.get(run, run) for run in each.runs))
        facts = {"lost": duration(max(0.0, each.lost_s)), "saved": duration(max(0, each.saved_s))}
        yield phrase("apart", what=what, why=alone(each.code, what=each.swap.name, **facts))


def needed_text(outlooks: Sequence[Outlook], now_s: int, weekend: Weekend) -> str:
    """How it stands at the present moment, for those who cannot see the picture."""
    past = [each for each in outlooks if each.moment_s <= now_s]
    if not outlooks:
        return ""
    each = past[-1] if past else outlooks[0]
    at = short(each.moment_s, ZoneInfo(weekend.zone), weekend.begin_s)
    half, most = (_needed(seconds) for seconds in (each.p50_s, each.p90_s))
    left = duration(max(0, each.left_s))
    return phrase("needed-at", at=at, left=left, half=half, most=most)


def _needed(seconds: int | None) -> str:
    return phrase("never") if seconds is None else duration(max(0, seconds))


def block_of(weekend: Weekend, course: Course, ident: str) -> str:
    """Id of the first block of a run, work or gate; empty where it is not carried out."""
    mine = {a.id for a in weekend.activities if ident in {a.id, getattr(a, "of", "")}}
    for block in course.blocks:
        if block.activity in mine:
            return block.id
    return ""


def names_in(project: Project, weekend: Weekend) -> dict[str, str]:
    """What activities are called, and the works they belong to."""
    activities = {activity.id: activity.name for activity in weekend.activities}
    return {item.id: item.name for item in project.items} | activities
