"""A plan as people read it in a terminal."""

from collections.abc import Iterable, Sequence
from itertools import groupby
from zoneinfo import ZoneInfo

from fabsched.cli.documents import cautions
from fabsched.cli.tables import console, print_table
from fabsched.model.findings import Finding
from fabsched.model.plan import Answer, Block, Odds
from fabsched.model.units import DAY_S
from fabsched.model.weekend import Weekend
from fabsched.model.windows import NEVER
from fabsched.session.clock import day, duration, hour, long, short, up
from fabsched.session.deeds import Words, bare_words
from fabsched.session.noticed import say
from fabsched.session.odds_words import done_text, doubt_text, rest_text
from fabsched.session.reason_words import last_note, latest_s, no_last_start
from fabsched.session.wording import caution, chance, kind, phrase, share, why


def print_plan(title: str, weekend: Weekend, answer: Answer, findings: Sequence[Finding]) -> None:
    """Print title, odds, a table for each day, cautions and remarks."""
    out = console()
    out.print(title, style="bold")
    told = (*odds_lines(weekend, answer.odds), doubt_text(answer.odds), spare_line(weekend, answer))
    for line in filter(None, told):
        out.print(line)
    zone = ZoneInfo(weekend.zone)
    blocks_by_day = groupby(answer.course.blocks, key=lambda block: day(up(block.start_s), zone))
    for text, blocks in blocks_by_day:
        out.print(f"\n{text}", style="bold")
        _print_day(bare_words(weekend, answer), tuple(blocks), zone)
    if note := last_text(answer):
        out.print(note)
    notes = [caution(code) for code in cautions(answer)]
    for note in [*notes, *(say(finding) for finding in findings)]:
        out.print(f"- {note}")


def last_text(answer: Answer) -> str:
    """What stands under "at the latest" if not the usual; empty where that is so."""
    return no_last_start(answer.odds) or last_note(answer.course.blocks)


def odds_lines(weekend: Weekend, odds: Odds) -> tuple[str, ...]:
    """How sure it is, whether that is less than wanted, and when most weekends are done.

    Or that all that is needed is done.
    """
    if done := done_text(odds, weekend):
        return (done,)
    first = phrase(
        "odds",
        chance=chance(odds.on_time),
        share=share(odds.on_time),
        deadline=_said(weekend, weekend.deadline_s),
    )
    wanted = phrase("below-wanted", wanted=share(weekend.wanted_odds))
    less = (wanted,) if odds.on_time < weekend.wanted_odds else ()
    return (first[:1].upper() + first[1:], *less, _half(weekend, odds))


def _half(weekend: Weekend, odds: Odds) -> str:
    if odds.p50_s is None:
        return phrase("half-never")
    p50 = _said(weekend, up(odds.p50_s))
    if odds.p90_s is None:
        return phrase("most-never", p50=p50)
    return phrase("half-by", p50=p50, p90=_said(weekend, up(odds.p90_s)))


def _said(weekend: Weekend, moment_s: int) -> str:
    """A moment in a sentence."""
    return long(moment_s, ZoneInfo(weekend.zone), weekend.begin_s)


def spare_line(weekend: Weekend, answer: Answer) -> str:
    """When it is done as planned, empty if that is too late; when done, whether anything is left."""
    if answer.odds.done_s is not None:
        return rest_text(answer)
    finish_s = answer.course.finish_s
    if finish_s > weekend.deadline_s:
        return ""
    spare_s = max(0, weekend.deadline_s - up(finish_s))
    return phrase("spare", finish=_said(weekend, up(finish_s)), spare=duration(spare_s))


def missed_text(weekend: Weekend, answer: Answer) -> str:
    """By how much the deadline is missed as planned, and what chance is left; empty if it is met."""
    finish_s = answer.course.finish_s
    if finish_s <= weekend.deadline_s:
        return ""
    if done := done_text(answer.odds, weekend):
        return done
    deadline, left = _said(weekend, weekend.deadline_s), share(answer.odds.on_time)
    if finish_s >= NEVER:
        days = (weekend.horizon_s - weekend.deadline_s) // DAY_S
        return phrase("missed-beyond", deadline=deadline, days=days, share=left)
    late, finish = duration(up(finish_s - weekend.deadline_s)), _said(weekend, up(finish_s))
    return phrase("missed", deadline=deadline, late=late, finish=finish, share=left)


def _print_day(words: Words, blocks: Iterable[Block], zone: ZoneInfo) -> None:
    columns = (">from", ">to", "who", "", "what", "place", "why then", ">at the latest")
    rows = [
        (
            hour(up(block.start_s), zone),
            _hour(up(block.end_s), up(block.start_s), zone),
            words.together(words.who(block), block),
            kind(block.kind),
            block.what,
            words.place(block),
            why(block.reason),
            _last(block, zone),
        )
        for block in blocks
    ]
    print_table(columns, rows)


def _hour(moment_s: int, other_s: int, zone: ZoneInfo) -> str:
    """The hour, with the day where the other moment lies on another one."""
    same = day(moment_s, zone) == day(other_s, zone)
    return hour(moment_s, zone) if same else short(moment_s, zone, other_s)


def _last(block: Block, zone: ZoneInfo) -> str:
    """The latest start that still leaves one as sure as wanted, if there is one."""
    if block.last_start_s is None:
        return ""
    return _hour(latest_s(block), block.start_s, zone)
