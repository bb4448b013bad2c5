"""The log, what changed and what can be chosen, as people read it in a terminal."""

from collections.abc import Iterable, Mapping, Sequence
from zoneinfo import ZoneInfo

from fabsched.advise.options import Option
from fabsched.cli.tables import console, print_table
from fabsched.model.log import ABOUT_ENTRIES, Entry, Event, holding
from fabsched.model.windows import NEVER
from fabsched.schedule.changes import Change
from fabsched.session.clock import duration, long, short, up
from fabsched.session.log_words import (
    lost_text,
    material_text,
    option_line,
    remedy_line,
    stand_text,
    subject_text,
)
from fabsched.session.wording import change, event, phrase, share


def print_log(
    title: str, entries: Sequence[Entry], zone: ZoneInfo, names: Mapping[str, str]
) -> None:
    """Print every entry but plans, with names of what has no name in it; says what holds no longer."""
    out = console()
    out.print(title, style="bold")
    held = {entry.id for entry in holding(entries)}
    shown = [entry for entry in entries if entry.kind is not Event.PLANNED]
    if not shown:
        out.print(phrase("log-empty"))
        return
    print_table(
        (">no.", ">when", "what", "why", ""), [_row(e, held, zone, names, entries) for e in shown]
    )


def _row(
    entry: Entry,
    held: set[int],
    zone: ZoneInfo,
    names: Mapping[str, str],
    known: Sequence[Entry],
) -> tuple[str, ...]:
    off = entry.id not in held and entry.kind not in ABOUT_ENTRIES
    return (
        str(entry.id),
        short(entry.moment_s, zone, entry.noted_s),
        event_text(entry, zone, names, known),
        entry.why,
        phrase("log-off") if off else "",
    )


def entry_text(
    entry: Entry, zone: ZoneInfo, names: Mapping[str, str], *, withdrawn: bool = False
) -> str:
    """An entry in one line, with its date where it was noted days before or after."""
    moment = long(entry.moment_s, zone, entry.noted_s)
    told = phrase("log-told", moment=moment, what=event_text(entry, zone, names))
    return phrase("log-withdrawn", what=told) if withdrawn else told


def event_text(
    entry: Entry, zone: ZoneInfo, names: Mapping[str, str], known: Iterable[Entry] = ()
) -> str:
    """What an entry tells.

    Args:
        entry: the entry.
        zone: where moments are shown.
        names: those shown, by id.
        known: all entries, for those that speak of others.
    """
    what = subject_text(entry, names)
    if entry.kind in ABOUT_ENTRIES:
        what = _spoken_of(entry, zone, names, known)
    until = "" if entry.until_s is None else long(entry.until_s, zone, entry.noted_s)
    text = event(entry.kind, what=what, until=until)
    if entry.kind is Event.FAILED and entry.share is not None:
        return phrase("log-share", what=text, share=f"{100 * entry.share:.0f}")
    if entry.kind is Event.CHOSEN and entry.remedy:
        return phrase("log-chosen", choice=remedy_line(entry.remedy, what, names))
    return text


def _spoken_of(
    entry: Entry, zone: ZoneInfo, names: Mapping[str, str], known: Iterable[Entry]
) -> str:
    """The entries that one speaks of, plans left out where anything else is among them."""
    told = [each for each in known if each.id in entry.of and each.kind is not Event.PLANNED]
    texts = [
        phrase("log-entry", number=each.id, what=event_text(each, zone, names)) for each in told
    ]
    return "; ".join(texts) or ", ".join(map(str, entry.of))


def change_text(told: Change, zone: ZoneInfo) -> str:
    """What changed, in a sentence."""
    now_s, was_s = told.now_s, told.was_s
    moved = "" if now_s is None or was_s is None else duration(abs(now_s - was_s))
    return change(
        told.kind,
        what=told.name,
        other=told.other or phrase("everything-else"),
        now="" if now_s is None else long(up(now_s), zone),
        by=moved,
    )


def option_text(option: Option) -> str:
    """What is done, in a sentence."""
    return option_line(option)


def print_changes(changes: Iterable[Change], zone: ZoneInfo, kept: float | None) -> None:
    """Print what a plan does otherwise, or that it stays.

    Args:
        changes: what changed.
        zone: where moments are shown.
        kept: chance of being in time with the plan before; None if there was none.
    """
    if kept is None:
        return
    out, settled = console(), tuple(changes)
    out.print("\n" + phrase("changes" if settled else "no-changes"), style="bold")
    for told in settled:
        out.print(f"- {change_text(told, zone)}")
    if settled:
        out.print(phrase("kept", share=share(kept)))


def option_rows(
    options: Iterable[tuple[str, Option]], zone: ZoneInfo, now_s: int
) -> list[tuple[str, ...]]:
    """A row for each choice with its name."""
    return [
        (
            name,
            option_text(option),
            share(option.answer.odds.on_time),
            _moment(option.answer.odds.p50_s, zone, now_s),
            _moment(option.answer.odds.p90_s, zone, now_s),
            duration(option.hands_s),
            duration(option.machine_s),
            material_text(option) or ("" if option.mass_g is None else "0 g"),
        )
        for name, option in options
    ]


def print_options(
    options: Iterable[tuple[str, Option]], zone: ZoneInfo, now_s: int, title: str = "options"
) -> None:
    """Print the choices side by side; what has been spent is told apart, since it weighs nothing.

    Args:
        options: each with its name on the command line.
        zone: where moments are shown.
        now_s: the present moment.
        title: key in the wording table of what stands over them.
    """
    settled = tuple(options)
    columns = ("choice", "", ">on time", ">half by", ">most by", ">hands", ">machine", ">material")
    console().print("\n" + phrase(title), style="bold")
    print_table(columns, option_rows(settled, zone, now_s))
    for name, option in settled:
        if option.size_mm:
            console().print(phrase("stands", name=name, what=stand_text(option)))
        if option.spent_s:
            gone = {"time": duration(option.spent_s), "laid": lost_text(option)}
            console().print(phrase("spent", name=name, **gone))


def _moment(moment_s: int | None, zone: ZoneInfo, now_s: int) -> str:
    """A moment to come, with its date if that is far off."""
    if moment_s is None or moment_s >= NEVER:
        return phrase("never")
    return short(up(moment_s), zone, now_s)
