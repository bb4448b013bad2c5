"""Changes that would make a weekend fit, carried out: each is one step that undo takes back.

Hours, helpers and machines stand in the shop from then on: whoever enters them has asked the people
they depend on.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial, reduce
from typing import TypeVar
from zoneinfo import ZoneInfo

from fabsched.advise.fits import OF_LOG, Fit, Lever
from fabsched.files.names import free_name, slug
from fabsched.model.project import Fork, Project, Work
from fabsched.model.shop import Machine, Person, Place, Shop
from fabsched.model.weekend import Weekend
from fabsched.model.windows import Windows
from fabsched.session.clock import local
from fabsched.session.edits import TAKE_ADVICE, Edit, with_deadline, without
from fabsched.session.project_session import Session
from fabsched.session.shop_book import ShopEdit
from fabsched.session.shop_edits import copied, put_record, taken_ids
from fabsched.session.wording import phrase
from fabsched.session.working_hours import open_hours

ThingT = TypeVar("ThingT")
WorkT = TypeVar("WorkT", bound=Work)

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
"""As the `opening_hours` grammar names them."""


def take_fit(session: Session, weekend: Weekend, fit: Fit) -> bool:
    """Carry a change out; undo takes it back.

    Args:
        session: the open project.
        weekend: what was planned.
        fit: the change.

    Returns:
        False if nothing can be changed for it, or the log has to tell a part of it (see
        `fit_telling.carry_out`); then nothing is.

    Raises:
        InputError: the project or the shop cannot be saved.
    """
    edits = taken(session, weekend, fit)
    if edits is None or not OF_LOG.isdisjoint(each.code for each in fit.each):
        return False
    session.change_both(TAKE_ADVICE, *edits)
    return True


def can_take(session: Session, weekend: Weekend, fit: Fit) -> bool:
    """Whether a change is one step: hours a calendar stands against are not."""
    return taken(session, weekend, fit) is not None


def taken(session: Session, weekend: Weekend, fit: Fit) -> tuple[Edit, ShopEdit] | None:
    """What carries a change out in the project and in the shop; None if it is not one step.

    What the log has to tell is left out.
    """
    edits, shop_edits = _edits(session, weekend, fit)
    told = sum(each.code in OF_LOG for each in fit.each)
    if len(edits) + len(shop_edits) + told != len(fit.each):
        return None
    return _in_turn(edits), _in_turn(shop_edits)


def _edits(session: Session, weekend: Weekend, fit: Fit) -> tuple[list[Edit], list[ShopEdit]]:
    """Those of each change of a set, in the order of the set."""
    edits = (_project_edit(session.project, each) for each in fit.each)
    shop_edits = (
        _shop_edit(session.shop, session.project.zone, weekend, each) for each in fit.each
    )
    return [each for each in edits if each], [each for each in shop_edits if each]


def _in_turn(edits: Sequence[Callable[[ThingT], ThingT]]) -> Callable[[ThingT], ThingT]:
    """One edit after another as one."""

    def edit(thing: ThingT) -> ThingT:
        return reduce(lambda now, each: each(now), edits, thing)

    return edit


def _project_edit(project: Project, fit: Fit) -> Edit | None:
    match fit.code:
        case Lever.DROP | Lever.DROP_NEEDED:
            return without([fit.subject])
        case Lever.WAY:
            return lambda now: replace(now, forks=tuple(_chosen(fork, fit) for fork in now.forks))
        case Lever.START:
            start = datetime.fromtimestamp(fit.from_s, project.zone)
            return lambda now: replace(now, start=start)
        case Lever.ARRIVAL | Lever.COPIES:
            return partial(_arriving if fit.code is Lever.ARRIVAL else _fewer, fit=fit)
        case Lever.DEADLINE:
            return with_deadline(datetime.fromtimestamp(fit.until_s, project.zone))
        case _:
            return None


def _arriving(project: Project, *, fit: Fit) -> Project:
    """The project with what a work or gate waits for there sooner."""
    sooner = datetime.fromtimestamp(fit.from_s, project.zone)

    def arriving(work: WorkT) -> WorkT:
        return replace(work, not_before=sooner) if work.id == fit.subject else work

    works, gates = map(arriving, project.works), map(arriving, project.gates)
    return replace(project, works=tuple(works), gates=tuple(gates))


def _fewer(project: Project, *, fit: Fit) -> Project:
    """The project with fewer copies of a part."""
    copies, _ = fit.copies
    parts = (replace(p, copies=copies) if p.id == fit.subject else p for p in project.parts)
    return replace(project, parts=tuple(parts))


def _chosen(fork: Fork, fit: Fit) -> Fork:
    """The fork with that way chosen, if it is one of its own: ids of ways may come twice."""
    own = {(way.id, f"{fork.name}: {way.name}") for way in fork.ways}
    return replace(fork, chosen=fit.subject) if (fit.subject, fit.name) in own else fork


def _shop_edit(shop: Shop, zone: ZoneInfo, weekend: Weekend, fit: Fit) -> ShopEdit | None:
    """The edit; looked up in the shop there is when it is carried out, so that several add up."""
    edited = _edited(shop, zone, weekend, fit)
    if edited is None:
        return None
    return lambda now: _edited(now, zone, weekend, fit) or now


def _edited(shop: Shop, zone: ZoneInfo, weekend: Weekend, fit: Fit) -> Shop | None:
    """The shop with a change; None if it is no matter of the shop."""
    match fit.code:
        case Lever.HOURS:
            return _longer("place", shop, shop.places, fit, zone)
        case Lever.AWAKE:
            return _longer("person", shop, shop.people, fit, zone)
        case Lever.HANDS:
            edit = _helper(shop, weekend, fit, zone)
            return edit(shop) if edit else None
        case Lever.MACHINE:
            machine = shop.machines.get(fit.subject)
            return None if machine is None else _twin(shop, machine)(shop)
        case _:
            return None


def _longer(
    kind: str, shop: Shop, known: Sequence[Place] | Sequence[Person], fit: Fit, zone: ZoneInfo
) -> Shop | None:
    """A place or person with hours of one day more, unless a calendar stands against them."""
    entry = next((entry for entry in known if entry.id == fit.subject), None)
    if entry is None:
        return None
    span = (fit.from_s, fit.until_s)
    longer = replace(entry, hours=f"{entry.hours}, {dated([span], zone)}")
    return put_record(kind, longer)(shop) if _is_open(longer, span, zone) else None


def _is_open(entry: Place | Person, span: tuple[int, int], zone: ZoneInfo) -> bool:
    return open_hours(entry, zone, *span).open_s(*span) == span[1] - span[0]


def _helper(shop: Shop, weekend: Weekend, fit: Fit, zone: ZoneInfo) -> ShopEdit | None:
    """Somebody who can do what the first of those who work can, in some of their hours."""
    hands = weekend.hands[0] if weekend.hands else None
    first = next((person for person in shop.people if hands and person.id == hands.id), None)
    if hands is None or first is None:
        return None
    windows: Windows = hands.windows.clipped(fit.from_s, fit.until_s)
    name = phrase("helper")
    helper = Person(
        id=free_name(slug(name), taken_ids(shop)),
        name=name,
        base=first.base,
        hours=dated(windows, zone),
        skills=first.skills,
    )
    return put_record("person", helper)


def _twin(shop: Shop, machine: Machine) -> ShopEdit:
    kind = "printer" if machine in shop.printers else "laser"
    return put_record(kind, copied(machine, shop))


def dated(spans: Iterable[tuple[int, int]], zone: ZoneInfo) -> str:
    """Hours of certain days alone, in the `opening_hours` grammar, on top of others after a comma.

    >>> dated([(0, 5400), (79200, 90000)], ZoneInfo("UTC"))
    '1970 Jan 01 00:00-01:30, 1970 Jan 01 22:00-01:00'
    """
    return ", ".join(_dated(local(start, zone), local(end, zone)) for start, end in spans)


def _dated(start: datetime, end: datetime) -> str:
    day = f"{start.year} {MONTHS[start.month - 1]} {start.day:02}"
    return f"{day} {start:%H:%M}-{end:%H:%M}"
