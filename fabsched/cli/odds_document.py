"""What `odds --json` prints."""

from collections.abc import Mapping
from zoneinfo import ZoneInfo

from fabsched.cli.documents import Document, odds_document
from fabsched.model.project import Project
from fabsched.model.weekend import Weekend
from fabsched.odds.told import Danger, Outlook, Setback, most_dangerous
from fabsched.session.clock import iso
from fabsched.session.odds_records import OddsTold
from fabsched.session.odds_words import decision_text, names_of
from fabsched.session.wording import setback


def odds_told_document(
    project: Project, weekend: Weekend, found: OddsTold, *, now_s: int
) -> Document:
    """The odds of a plan with everything that bears on them."""
    zone, names = ZoneInfo(weekend.zone), names_of(project, weekend)
    worst = most_dangerous(found.dangers)
    return {
        "project": project.name,
        "now": iso(now_s, zone),
        "deadline": iso(weekend.deadline_s, zone),
        "wanted_odds": weekend.wanted_odds,
        "odds": {
            **odds_document(found.odds, zone),
            "low": found.odds.low,
            "high": found.odds.high,
        },
        "setbacks": [_setback(each, names) for each in found.setbacks],
        "most_dangerous": _danger(worst, names) if worst else None,
        "dangers": [_danger(each, names) for each in found.dangers],
        "decisions": [
            {
                "id": each.id,
                "what": names.get(each.id, each.id),
                "by": iso(each.by_s, zone),
                "not_done": each.not_done,
                "on_time": each.on_time,
                "swap": each.swap or None,
                "instead": each.instead,
                "text": decision_text(each, names, weekend),
            }
            for each in found.decisions
        ],
        "course": [_outlook(each, zone) for each in found.outlooks],
    }


def _setback(each: Setback, names: Mapping[str, str]) -> Document:
    what = names.get(each.id, each.id)
    return {
        "kind": str(each.kind),
        "id": each.id,
        "what": what,
        "cost": each.cost,
        "chance": each.chance,
        "text": setback(each.kind, what),
    }


def _danger(each: Danger, names: Mapping[str, str]) -> Document:
    return {
        "id": each.id,
        "what": names.get(each.id, each.id),
        "cost": each.cost,
        "wrong": each.wrong,
        "wrong_if_late": each.wrong_if_late,
    }


def _outlook(each: Outlook, zone: ZoneInfo) -> Document:
    return {
        "at": iso(each.moment_s, zone),
        "left_s": each.left_s,
        "needed_s": {"p10": each.p10_s, "p50": each.p50_s, "p90": each.p90_s},
        "on_time": each.on_time,
    }
