"""From what a maker says to an entry of the log.

What can be said is short: `finish lid`. What it means at present is looked up here, so that the entry
can be read without the plan.
"""

from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import datetime

from fabsched.model.errors import Fault, InputError
from fabsched.model.log import Entry, Event, Meant, Remedy, Sort
from fabsched.model.project import Component
from fabsched.model.shop import Machine, Person, Place, Shop
from fabsched.model.state import Stint
from fabsched.session.sayings import (
    BY_ITEM,
    ENDS,
    EVENTS,
    FROM_OUTSIDE,
    WITH_UNTIL,
    Known,
    Saying,
    Verb,
)
from fabsched.session.telling_checks import (
    check_corrected,
    check_free,
    check_near,
    check_once,
    check_past,
    check_share,
    check_until,
)

_Resource = Machine | Person | Place


def entry_of(saying: Saying, known: Known) -> Entry:
    """The entry for what was said.

    Raises:
        InputError: it speaks of something that is not there or of several things, of a moment to come
            as if it had been, or leaves out the moment to come.
    """
    _check_moments(saying, known)
    entry = _entry(saying, known)
    _check_until(entry, known, sure=saying.sure)
    return entry


def _entry(saying: Saying, known: Known) -> Entry:
    entry = Entry(
        kind=EVENTS[saying.verb],
        moment_s=saying.at_s,
        noted_s=saying.now_s,
        until_s=saying.until_s if saying.verb in WITH_UNTIL else None,
        why=saying.why,
        replaces=saying.replaces,
    )
    if saying.verb is Verb.DEADLINE:
        return replace(entry, was_s=int(known.deadline.timestamp()))
    if saying.verb is Verb.LOSE:
        return replace(entry, subject=_among(saying.block, _resources(known.shop), "log"))
    return _about(entry, saying, known)


def _check_moments(saying: Saying, known: Known) -> None:
    zone = known.deadline.tzinfo
    if saying.verb not in WITH_UNTIL:
        check_past(saying.at_s, saying.now_s, zone)
    elif saying.until_s is None:
        raise InputError(Fault.FIELD_MISSING, "--until", example="--until 2026-10-25T20:00")
    if not saying.sure:
        check_near(saying.at_s, saying.now_s, known.first_s, zone)
    check_share(saying.share)


def _check_until(entry: Entry, known: Known, *, sure: bool) -> None:
    if (until_s := entry.until_s) is None:
        return
    last_s = until_s if sure else max(entry.noted_s, int(known.deadline.timestamp()))
    after = entry.kind is not Event.DEADLINE
    check_until(until_s, entry.moment_s, last_s, known.deadline.tzinfo, after=after)


def _resources(shop: Shop) -> tuple[_Resource, ...]:
    return (*shop.printers, *shop.lasers, *shop.people, *shop.places)


def _among(name: str, entries: Iterable[_Resource], where: str) -> str:
    """The id of the one among some machines, people and places that a name stands for."""
    settled = tuple(entries)
    known = {entry.id: entry.id for entry in settled} | {e.name.lower(): e.id for e in settled}
    found = known.get(name) or known.get(name.lower())
    if found is None:
        facts = {"name": name, "known": ", ".join(entry.id for entry in settled)}
        raise InputError(Fault.NAME_UNKNOWN, where, **facts)
    return found


def _alike(machine: str, shop: Shop) -> tuple[Machine, ...]:
    """Machines of the kind of one: what is printed is started on no laser."""
    kinds: tuple[tuple[Machine, ...], ...] = (shop.printers, shop.lasers)
    of_kind = [each for each in kinds if machine in {found.id for found in each}]
    return of_kind[0] if of_kind else (*shop.printers, *shop.lasers)


def _about(entry: Entry, saying: Saying, known: Known) -> Entry:
    """An entry about an activity, or all there is of an item."""
    name = saying.block
    if saying.verb in BY_ITEM and name not in known.meant and (mine := _of_item(name, known)):
        on = [ident for ident in mine if ident in known.state.going]
        if saying.verb is not Verb.DELAY or len(on) != 1:
            return replace(entry, subject=name)
        # What goes on ends later; the rest of it could not have begun anyhow.
        saying = replace(saying, block=on[0])
    component = _component(name, known) if saying.verb in FROM_OUTSIDE else None
    if component is not None:
        return replace(entry, subject=component.id, meant=_lacking(component, known))
    subject, step = _activity(saying, known)
    going = known.state.going.get(subject)
    lying = [s for s in known.state.uncleared.values() if s.subject == subject]
    meant = going.meant if going else lying[0].meant if lying else known.meant[subject]
    meant = _as_said(meant, saying, known.shop)
    kind = _kind(entry.kind, step, waits=bool(lying), goes=going is not None)
    _check_order(saying, kind, going, known)
    check_once(kind, subject, meant.name, known.state, known.deadline.tzinfo)
    share = saying.share
    if kind is Event.FAILED and share is None and going and going.start_s is not None:
        share = meant.got_by(saying.at_s - going.start_s)
    told = replace(entry, kind=kind, subject=subject, meant=meant, share=share)
    if kind is Event.STARTED and not saying.sure:
        check_free(told, known.state, known.deadline.tzinfo)
    return told


def _component(name: str, known: Known) -> Component | None:
    """The component of that id or name shown, unless something that is made is called so."""
    if name in known.meant or _of_item(name, known):
        return None
    return next(
        (c for c in known.components if name.lower() in {c.id.lower(), c.name.lower()}), None
    )


def _lacking(component: Component, known: Known) -> Meant:
    """What a component means: everything that needs it; all, if it is needed from the beginning."""
    needing = component.needed_by or known.items
    return Meant(name=component.name, items=tuple((ident, 1) for ident in needing))


def _check_order(saying: Saying, kind: Event, going: Stint | None, known: Known) -> None:
    """Nothing ends before it began: that would teach wrong times without a word."""
    ends = kind in {EVENTS[verb] for verb in ENDS}
    if not ends or going is None or going.start_s is None or saying.at_s >= going.start_s:
        return
    zone = known.deadline.tzinfo
    start, at = (datetime.fromtimestamp(s, zone).isoformat() for s in (going.start_s, saying.at_s))
    raise InputError(Fault.BEFORE_START, "--at", what=going.meant.name, start=start, at=at)


def _as_said(meant: Meant, saying: Saying, shop: Shop) -> Meant:
    """What was meant, but for the machine and person that were named."""
    if saying.machine:
        machines = _alike(meant.machine, shop)
        machine = _among(saying.machine, machines, "--on")
        places = {each.id: each.place for each in machines}
        computed_s = meant.computed_s if machine == meant.machine else 0.0
        place = places.get(machine, meant.place)
        meant = replace(meant, machine=machine, place=place, computed_s=computed_s)
    return _by_whom(meant, saying, shop)


def _by_whom(meant: Meant, saying: Saying, shop: Shop) -> Meant:
    """What was meant, with those who did it; whoever is not named is as planned.

    Raises:
        InputError: somebody named is not there, or it is not known with whom they did it.
    """
    person = _among(saying.person, shop.people, "--by") if saying.person else meant.person
    if saying.helpers is None:
        others = tuple(each for each in meant.people if each != person)
        return replace(
            meant, person=person, helpers=others[-len(meant.helpers) :] if meant.helpers else ()
        )
    helpers = tuple(dict.fromkeys(_among(name, shop.people, "--with") for name in saying.helpers))
    if person in helpers and not saying.person:
        person = next((each for each in meant.people if each not in helpers), "")
    if not person or person in helpers:
        example = next((each.id for each in shop.people if each.id not in helpers), "ada")
        raise InputError(Fault.FIELD_MISSING, "--by", example=f"--by {example}")
    return replace(meant, person=person, helpers=helpers)


def _kind(kind: Event, step: str, *, waits: bool, goes: bool) -> Event:
    """What was said of a step of a run, as said of the run.

    Who has started it has it running; who begins to clear it says that it has stopped; and what lies
    there and is finished once more has been taken off. What is broken off before it began is left out.
    """
    if step == "start" and kind is Event.FINISHED:
        return Event.STARTED
    if step == "clear" and kind is Event.STARTED and goes:
        return Event.FINISHED
    if kind is Event.CANCELLED and not (goes or waits):
        return Event.DROPPED  # nothing was broken off
    off = step == "clear" or (waits and not goes)
    return Event.CLEARED if off and kind is Event.FINISHED else kind


def _activity(saying: Saying, known: Known) -> tuple[str, str]:
    """The activity that is meant, and which step of it.

    Raises:
        InputError: there is none, or several are.
    """
    people = {person.id for person in known.shop.people}
    for name, step in _readings(saying.block, people):
        if name in known.state.going or name in known.meant.keys() - known.left_out:
            return name, step
    found = _of_item(saying.block, known)
    fitting = [ident for ident in found if _fits(ident, saying.verb, known)]
    if len(fitting) == 1 or (fitting and saying.verb is Verb.START):
        return _first_piece(fitting), ""
    if len(found) == 1:
        # It can mean nothing else: whether it may be said is judged as by its id.
        return found[0], ""
    if not found:
        named = [ident for ident in known.meant if ident not in known.left_out]
        if saying.verb in FROM_OUTSIDE:
            named += [component.id for component in known.components]
        names = ", ".join(named)
        raise InputError(Fault.NAME_UNKNOWN, "log", name=saying.block, known=names)
    names = ", ".join(fitting or found)
    raise InputError(Fault.NAME_SEVERAL, "log", name=saying.block, known=names)


def _first_piece(fitting: list[str]) -> str:
    """The most urgent activity; of work in pieces the first piece, whatever their order says."""
    stem, tilde, _ = fitting[0].rpartition("~")
    pieces = [ident for ident in fitting if tilde and ident.startswith(stem + tilde)]
    return min(pieces, key=lambda ident: (len(ident), ident), default=fitting[0])


def _readings(block: str, people: Collection[str]) -> Iterable[tuple[str, str]]:
    """Activities a block's id may belong to, and the step it names; see `model.plan.Block`.

    Behind a plus stands who helps; beds that are shared have one in their own ids, and what is no
    longer on one bed is not what was.
    """
    yield block, ""
    copy = block.rsplit(">", 1)[-1] if block.count(">") > 1 else block.split(">", 1)[0]
    bare = copy.split("#", 1)[0]
    yield bare, ""
    alone, _, helper = bare.rpartition("+")
    if helper in people:
        yield alone, ""
    stem, _, step = bare.rpartition(".")
    if stem:
        step = step.split("@", 1)[0]
        yield stem, "start" if step == "restart" else step
    yield bare.split("@", 1)[0], ""


def _of_item(name: str, known: Known) -> list[str]:
    """Activities that make or do an item, named by its id or its name shown, or by their own.

    Those that the plan in hand does; if there are none, all.
    """
    low = name.lower()
    found = [
        ident
        for ident, what in known.meant.items()
        if name in {ident, *(item for item, _ in what.items)} or what.name.lower() == low
    ]
    return [ident for ident in found if ident not in known.left_out] or found


def _fits(ident: str, verb: Verb, known: Known) -> bool:
    """Whether something may be said of an activity as things stand."""
    goes = ident in known.state.going
    lying = [stint for stint in known.state.uncleared.values() if stint.subject == ident]
    if verb in ENDS:
        return goes or bool(lying)
    if verb is Verb.START:
        good = any(stint.outcome is Event.FINISHED for stint in lying)
        return not (goes or good or ident in known.state.done)
    return not (verb is Verb.FOUND and known.meant[ident].sort is not Sort.GATE)


def chosen(remedy: Remedy, known: Known, *, now_s: int, why: str = "") -> Entry:
    """The entry for a choice after a failure."""
    meant = known.meant.get(remedy.subject, Meant())
    return Entry(
        kind=Event.CHOSEN,
        moment_s=now_s,
        noted_s=now_s,
        subject=remedy.subject,
        meant=meant,
        remedy=remedy,
        why=why,
    )


def corrected(entry: Entry, saying: Saying, known: Known) -> Entry:
    """An entry that stands for another, with what was said to be otherwise.

    Args:
        entry: the one that was wrong.
        saying: the moment, and whatever else is named; its verb and block are those of the entry.
        known: what it is read against.

    Raises:
        InputError: it speaks of a moment to come as if it had been, or of what is not there, or
            would turn round what happened.
    """
    zone = known.deadline.tzinfo
    if entry.kind not in {EVENTS[verb] for verb in WITH_UNTIL}:
        check_past(saying.at_s, saying.now_s, zone)
    if not saying.sure and saying.at_s != entry.moment_s:
        check_near(saying.at_s, saying.now_s, known.first_s, zone)
    check_share(saying.share)
    new = _put_right(entry, saying, known)
    check_corrected(entry, new, known.entries, zone)
    if saying.until_s is not None:
        _check_until(new, known, sure=saying.sure)
    return new


def _put_right(entry: Entry, saying: Saying, known: Known) -> Entry:
    return replace(
        entry,
        id=0,
        meant=_as_said(entry.meant, saying, known.shop),
        moment_s=saying.at_s,
        noted_s=saying.now_s,
        share=entry.share if saying.share is None else saying.share,
        until_s=entry.until_s if saying.until_s is None else saying.until_s,
        why=saying.why or entry.why,
        replaces=entry.id,
    )
