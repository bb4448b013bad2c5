"""What belongs on paper: what to do in order, what to take care of, what lies on beds and sheets."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from zoneinfo import ZoneInfo

from fabsched.estimate.cut_settings import CutSpeeds
from fabsched.model.plan import Answer, Block, Kind
from fabsched.model.project import Project
from fabsched.model.shop import Border, Laser, Printer, Shop
from fabsched.model.units import DAY_S
from fabsched.model.weekend import Run, Weekend
from fabsched.model.windows import NEVER
from fabsched.session.calendar import when_and_why
from fabsched.session.clock import day, duration, hour, long, short, up
from fabsched.session.deeds import Words, hands_blocks, words_of
from fabsched.session.export_records import (
    Card,
    DayRows,
    ExportInput,
    Laid,
    Row,
    RunSheet,
    Sketch,
    Written,
)
from fabsched.session.noticed import text_of
from fabsched.session.reason_words import no_last_start
from fabsched.session.wording import chance, phrase, share, sides_text

BOX = "[ ]"
"""A tick box in plain text."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RunFacts:
    """A run with what was made for it.

    Attributes:
        run: the run.
        machine: id of the machine that takes it.
        stem: where its files go, seen from the target, without their endings; empty for none.
        size_mm: width and depth of the bed or sheet.
        speeds: what the laser does, for sheets.
        files: written for it.
        source: the part file that is run as it stands; empty for others.
        laid: what lies where, in the order of cutting, or of printing where that is one after the
            other; empty where shapes are not known.
        outline: border of a sheet that is no rectangle.
        keep_out: areas that stay free.
        numbered: whether what lies there is made one after the other, and numbered by that.
    """

    run: Run
    machine: str
    stem: str = ""
    size_mm: tuple[float, float] = (0.0, 0.0)
    speeds: CutSpeeds | None = None
    files: tuple[Written, ...] = ()
    source: str = ""
    laid: tuple[Laid, ...] = ()
    outline: Border = ()
    keep_out: tuple[Border, ...] = ()
    numbered: bool = False


def run_sheet(given: ExportInput, made: tuple[RunFacts, ...]) -> RunSheet:
    """Put the run sheet of a plan together.

    Args:
        given: the plan and what it was made for.
        made: its runs, in any order.
    """
    weekend, answer, zone = given.weekend, given.answer, ZoneInfo(given.weekend.zone)
    words = words_of(weekend, answer, given.shop)
    blocks = hands_blocks(weekend, answer)
    as_of = phrase("as-of", moment=_dated(given.now_s, zone), zone=zone.key)
    never = no_last_start(answer.odds)
    starts = {b.activity: b.start_s for b in answer.course.blocks if b.kind is Kind.RUN}
    in_order = sorted(made, key=lambda facts: starts.get(facts.run.id, NEVER))
    return RunSheet(
        title=given.project.name,
        lead=(*_lead(weekend, answer), *([never] if never else []), as_of),
        cautions=words.cautions(blocks),
        days=_days(blocks, words, zone),
        cards=tuple(_card(facts, given, words, zone) for facts in in_order),
    )


def run_sheet_text(sheet: RunSheet) -> str:
    """The run sheet as plain text."""
    return "\n".join(_lines(sheet)) + "\n"


def _lines(sheet: RunSheet) -> Iterator[str]:
    yield from (sheet.title, *sheet.lead, "")
    yield from (f"! {text}" for text in sheet.cautions)
    for rows in sheet.days:
        yield from ("", rows.title)
        for row in rows.rows:
            yield f"{BOX} {row.start} - {row.end}  {row.what}  ({row.who}, {row.place})"
            yield from (f"      {note}" for note in row.notes)
    yield from ("", phrase("on-machines"))
    for card in sheet.cards:
        yield from ("", f"{BOX} {card.title}", *(f"      {line}" for line in card.lines))


def _lead(weekend: Weekend, answer: Answer) -> tuple[str, ...]:
    """How sure it is, and what time is left."""
    zone, odds, finish_s = ZoneInfo(weekend.zone), answer.odds, answer.course.finish_s
    deadline = long(weekend.deadline_s, zone, weekend.begin_s)
    chances = phrase(
        "odds", chance=chance(odds.on_time), share=share(odds.on_time), deadline=deadline
    )
    if odds.on_time < weekend.wanted_odds:
        chances += " " + phrase("below-wanted", wanted=share(weekend.wanted_odds))
    facts = {"deadline": deadline, "share": share(odds.on_time)}
    if finish_s >= NEVER:
        days = (weekend.horizon_s - weekend.deadline_s) // DAY_S
        return _capital(chances), _capital(phrase("missed-beyond", days=days, **facts))
    finish = long(up(finish_s), zone, weekend.begin_s)
    if finish_s > weekend.deadline_s:
        late = duration(up(finish_s - weekend.deadline_s))
        missed = phrase("missed", late=late, finish=finish, **facts)
        return _capital(chances), _capital(missed)
    spare = duration(max(0, weekend.deadline_s - up(finish_s)))
    return _capital(chances), phrase("spare", finish=finish, spare=spare)


def _days(blocks: tuple[Block, ...], words: Words, zone: ZoneInfo) -> tuple[DayRows, ...]:
    by_day = groupby(blocks, key=lambda block: day(up(block.start_s), zone))
    return tuple(
        DayRows(title=title, rows=tuple(_row(block, words, zone) for block in found))
        for title, found in by_day
    )


def _row(block: Block, words: Words, zone: ZoneInfo) -> Row:
    start_s, end_s = up(block.start_s), up(block.end_s)
    same = day(start_s, zone) == day(end_s, zone)
    return Row(
        start=hour(start_s, zone),
        end=hour(end_s, zone) if same else short(end_s, zone),
        what=words.deed(block),
        who=words.who(block),
        place=words.place(block),
        notes=when_and_why(block, zone),
    )


def _card(facts: RunFacts, given: ExportInput, words: Words, zone: ZoneInfo) -> Card:
    return Card(
        run=facts.run.id,
        title=facts.run.name,
        lines=(
            _times(facts, given.answer, words, zone),
            _cargo(facts, given.project),
            *_order(facts),
            *_settings(facts, given.project),
            *_afterwards(facts, given.shop),
            *_files(facts, given),
        ),
        picture=f"{facts.stem}.png" if facts.laid else "",
        sketch=_sketch(facts, given.shop) if facts.laid else None,
    )


def _times(facts: RunFacts, answer: Answer, words: Words, zone: ZoneInfo) -> str:
    machine = words.names.get(facts.machine, facts.machine)
    runs = [b for b in answer.course.blocks if b.kind is Kind.RUN]
    spans = [(b.start_s, b.end_s) for b in runs if b.activity == facts.run.id]
    if not spans:
        return phrase("not-planned", machine=machine)
    start, end = (short(up(moment_s), zone) for moment_s in (spans[0][0], spans[-1][1]))
    return phrase("alone-from-to", machine=machine, start=start, end=end)


def _cargo(facts: RunFacts, project: Project) -> str:
    """Parts and copies in a line, for prints with the filament."""
    parts = {part.id: part for part in project.parts}
    copies = ", ".join(f"{count} \u00d7 {parts[ident].name}" for ident, count in facts.run.cargo)
    material = parts[facts.run.cargo[0][0]].material
    return copies if facts.speeds else f"{copies} ({material})"


def _order(facts: RunFacts) -> tuple[str, ...]:
    """In which order what lies on a bed or sheet is made, as numbered in its picture."""
    if not facts.numbered:
        return ()
    if facts.speeds is not None:
        return (phrase("cut-in-order"),)
    return (phrase("printed-in-order", parts=", ".join(laid.name for laid in facts.laid)),)


def _settings(facts: RunFacts, project: Project) -> tuple[str, ...]:
    if facts.speeds is None:
        return ()
    part = next(part for part in project.parts if part.id == facts.run.cargo[0][0])
    measured = facts.speeds.measured
    settings = phrase(
        "cut-settings-own" if measured else "cut-settings",
        material=part.material,
        thickness=part.thickness_mm or 0.0,
        feed=f"{facts.speeds.feed_mm_s.likely:.3g}",
        passes=facts.speeds.passes,
        pierce=f"{facts.speeds.pierce_s:.2g}",
        day=measured.isoformat() if measured else "",
    )
    remarks = (f"{_capital(text_of(finding))}." for finding in facts.speeds.findings)
    return settings, phrase("kerf-applied", kerf=facts.speeds.kerf_mm), *remarks


def _afterwards(facts: RunFacts, shop: Shop) -> tuple[str, ...]:
    """What hands do at a laser once it has cut: the watch, clearing and cleaning."""
    lasers = [laser for laser in shop.lasers if laser.id == facts.machine]
    return tuple(
        phrase(
            "laser-after",
            watch=f"{laser.watch_minutes:g}",
            clear=f"{laser.clear_minutes:g}",
            clean=f"{laser.clean_minutes:g}",
        )
        for laser in lasers
    )


def _files(facts: RunFacts, given: ExportInput) -> tuple[str, ...]:
    if facts.source:
        return (phrase("as-it-stands", file=facts.source),)
    if not facts.files:
        return (phrase("shapeless", what=facts.run.name),)
    names = [file.path.relative_to(given.target).as_posix() for file in facts.files]
    return (phrase("files-of-run", files=", ".join(names)),)


def _sketch(facts: RunFacts, shop: Shop) -> Sketch:
    machines: tuple[Printer | Laser, ...] = (*shop.printers, *shop.lasers)
    machine = next(machine for machine in machines if machine.id == facts.machine)
    code = "sheet-note" if facts.speeds else "bed-note"
    size = sides_text(facts.size_mm)
    return Sketch(
        title=facts.run.name,
        note=phrase(code, machine=machine.name, size=size),
        size_mm=facts.size_mm,
        is_sheet=facts.speeds is not None,
        laid=facts.laid,
        outline=facts.outline,
        keep_out=facts.keep_out,
    )


def _dated(moment_s: int, zone: ZoneInfo) -> str:
    return f"{day(moment_s, zone)} {hour(moment_s, zone)}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
