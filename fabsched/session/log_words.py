"""Entries of the log and choices after a failure in words."""

from collections import Counter
from collections.abc import Iterable, Mapping
from zoneinfo import ZoneInfo

from fabsched.advise.options import Option
from fabsched.model.log import ABOUT_ENTRIES, Cure, Entry, Event, Remedy, holding
from fabsched.model.project import Part, Project, Work
from fabsched.model.shop import Machine, Person, Place, Shop
from fabsched.model.state import State, Stint
from fabsched.session.clock import duration, short
from fabsched.session.stock import sheet_name
from fabsched.session.stock_records import Stock
from fabsched.session.wording import event, phrase, remedy

Names = Mapping[str, str]
"""Names shown of items, machines, people and places, by id."""


def names_of(project: Project, shop: Shop) -> dict[str, str]:
    """The names of everything an entry may speak of."""
    own: tuple[Machine | Person | Place, ...]
    own = (*shop.printers, *shop.lasers, *shop.people, *shop.places)
    items: tuple[Part | Work, ...] = project.items
    return {each.id: each.name for each in own} | {each.id: each.name for each in items}


def entry_line(entry: Entry, names: Names, zone: ZoneInfo, known: Iterable[Entry] = ()) -> str:
    """What an entry tells, in a line.

    Args:
        entry: the entry.
        names: see there.
        zone: where moments are shown.
        known: all entries, for those that speak of others.
    """
    what = subject_text(entry, names)
    if entry.kind in ABOUT_ENTRIES:
        meant = [each for each in known if each.id in entry.of and each.kind is not Event.PLANNED]
        what = "; ".join(entry_line(each, names, zone) for each in meant)
    if entry.kind is Event.CHOSEN and entry.remedy:
        return phrase("log-chosen", choice=remedy_line(entry.remedy, what, names))
    until = "" if entry.until_s is None else short(entry.until_s, zone)
    text = event(entry.kind, what=what, until=until)
    if entry.kind is Event.FAILED and entry.share is not None:
        return phrase("log-share", what=text, share=f"{100 * entry.share:.0f}")
    return text


def subject_text(entry: Entry, names: Names) -> str:
    """What an entry is about, with all who do it where it takes several."""
    what = entry.meant.name or names.get(entry.subject, entry.subject)
    if not entry.meant.helpers:
        return what
    people = ", ".join(names.get(ident, ident) for ident in entry.meant.people)
    return phrase("log-crew", what=what, names=people)


def ends_unstarted(entry: Entry, state: State) -> bool:
    """Whether an entry ends something that was never told to have begun.

    Args:
        entry: as it was written.
        state: where the weekend stands with it.
    """
    return any(stint.told == entry.id and stint.start_s is None for stint in state.past)


def remedy_line(taken: Remedy, what: str, names: Names) -> str:
    """A choice that was taken."""
    if taken.turn_deg:
        return remedy(taken.cure, what=names.get(taken.part, what), detail=turn_text(taken))
    return remedy(
        taken.cure, what=what, detail=taken.detail or names.get(taken.machine, taken.machine)
    )


def turn_text(taken: Remedy) -> str:
    """How a part is turned from the way it was drawn."""
    x, y, z = (f"{degrees:g}" for degrees in taken.turn_deg or (0.0, 0.0, 0.0))
    return phrase("turned", x=x, y=y, z=z)


def option_line(option: Option) -> str:
    """A choice, in a sentence."""
    detail = turn_text(option.remedy) if option.remedy.turn_deg else option.detail
    return remedy(option.remedy.cure, what=option.name, detail=detail)


def lost_text(option: Option) -> str:
    """What is gone with a run that is broken off: as grams where that is known."""
    if option.lost_g is None:
        return phrase("laid-down")
    return phrase("laid-grams", grams=f"{option.lost_g:.0f}")


def stand_text(option: Option) -> str:
    """What a part stands on in another pose, and how high; empty for other choices."""
    if option.size_mm is None:
        return ""
    x, y, z = (f"{side:.0f}" for side in option.size_mm)
    return phrase("choice-stand", x=x, y=y, z=z)


def gone_lines(
    past: Iterable[Stint], subject: str, mass_g: Mapping[str, float], stock: Stock | None
) -> tuple[str, ...]:
    """What the last failure of a run has cost, and what is left of its sheet.

    Args:
        past: what has ended.
        subject: id of the run.
        mass_g: material of one copy, by part id, where known.
        stock: what was taken from stock; None if nobody counted.
    """
    mine = [stint for stint in past if stint.subject == subject]
    gone = gone_line(mine[-1], mass_g) if mine else ""
    return (*([gone] if gone else ()), *left_lines(stock, subject))


def gone_line(stint: Stint, mass_g: Mapping[str, float]) -> str:
    """What a failed run has cost, whatever is done next; empty where nothing is known of it.

    Args:
        stint: the run.
        mass_g: material of one copy, by part id, where known.
    """
    if stint.taken_s is None:
        return ""
    time, grams = duration(stint.taken_s), _gone_g(stint, mass_g)
    if grams is None:
        return phrase("gone-time", what=stint.meant.name, time=time)
    return phrase("gone", what=stint.meant.name, time=time, grams=f"{grams:.0f}")


def material_text(option: Option) -> str:
    """What is printed and cut for a choice; empty where nothing is known of it, or nothing is."""
    printed = f"{option.mass_g:.0f} g" if option.mass_g else ""
    counted = Counter(option.sheets)
    return ", ".join(filter(None, (printed, *(f"{n} x {name}" for name, n in counted.items()))))


def left_lines(stock: Stock | None, run: str) -> tuple[str, ...]:
    """What is left of each sheet whose cut failed, for the shop; none of others."""
    return tuple(
        phrase(
            "sheet-left",
            what=sheet_name(rest),
            size=" x ".join(f"{side:.0f}" for side in rest.size_mm),
        )
        for rest in (stock.remnants if stock else ())
        if rest.failed and rest.run == run
    )[-1:]


def left_out_line(entries: Iterable[Entry], state: State, names: Names) -> str:
    """What is left out since that was told or chosen; empty if nothing is."""
    told = {
        subject_text(entry, names)
        for entry in holding(entries)
        if (entry.kind in {Event.DROPPED, Event.CANCELLED} and entry.subject in state.dropped)
        or (entry.remedy is not None and _is_dropped(entry.remedy, state))
    }
    return phrase("left-out-told", what=", ".join(sorted(told))) if told else ""


def _is_dropped(taken: Remedy, state: State) -> bool:
    return taken.cure is Cure.DROP and state.remedies.get(taken.subject) == taken


def _gone_g(stint: Stint, mass_g: Mapping[str, float]) -> float | None:
    """Material laid down, as far as the run got; None where that is not known."""
    items = stint.meant.items
    if stint.share is None or not items or any(part not in mass_g for part, _ in items):
        return None
    return stint.share * sum(copies * mass_g[part] for part, copies in items)
