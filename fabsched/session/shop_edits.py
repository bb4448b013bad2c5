"""Edits of a shop: from one shop to the next."""

from dataclasses import replace
from typing import Any

from fabsched.files.names import free_name, readable, slug
from fabsched.files.shop_text import Record, keys_of, records_of, with_records
from fabsched.model.materials import Cutting
from fabsched.model.shop import Laser, Person, Place, Printer, Sheet, Shop, Spool, Travel
from fabsched.session.shop_book import ShopEdit

PRINTER_BED_MM = (220.0, 220.0, 250.0)
LASER_BED_MM = (600.0, 400.0)
"""What new machines start with: the usual sizes of small ones (our own choice)."""
USUAL_HOURS = "Mo-Fr 18:00-23:00; Sa-Su 09:00-12:30,13:30-22:00"
"""When somebody new is free (our own choice: evenings, and the weekend without lunch)."""
SPOOL_G = 1000.0
"""What is on a new spool: most are sold so."""
THICKNESS_MM, SHEET_MM = 3.0, (600.0, 400.0)
"""What new sheets are like (our own choice)."""


def put_record(kind: str, record: Record) -> ShopEdit:
    """The edit that puts a record in the place of the one of its key, or adds it."""
    (key,) = keys_of([record])

    def edit(shop: Shop) -> Shop:
        records = records_of(shop, kind)
        keys = keys_of(records)
        if key not in keys:
            return with_records(shop, kind, (*records, record))
        place = keys.index(key)
        return with_records(shop, kind, (*records[:place], record, *records[place + 1 :]))

    return edit


def without_record(kind: str, key: str) -> ShopEdit:
    """The edit that takes a record out; with a place go the ways to it."""

    def edit(shop: Shop) -> Shop:
        records = records_of(shop, kind)
        kept = [r for k, r in zip(keys_of(records), records, strict=True) if k != key]
        left = with_records(shop, kind, kept)
        if kind == "place":
            ways = tuple(way for way in shop.travels if key not in way.between)
            left = replace(left, travels=ways)
        return left

    return edit


def with_way(one: str, other: str, minutes: float | None) -> ShopEdit:
    """The edit that sets how long it takes between two places; None takes the way out."""

    def edit(shop: Shop) -> Shop:
        ways = [way for way in shop.travels if set(way.between) != {one, other}]
        if minutes is None:
            return replace(shop, travels=tuple(ways))
        place = next(
            (i for i, way in enumerate(shop.travels) if set(way.between) == {one, other}),
            len(ways),
        )
        between = (one, other) if place == len(ways) else shop.travels[place].between
        ways.insert(place, Travel(between=between, minutes=minutes))
        return replace(shop, travels=tuple(ways))

    return edit


def way_minutes(shop: Shop, one: str, other: str) -> float | None:
    """How long it takes between two places; None where no way is known."""
    found = (way.minutes for way in shop.travels if set(way.between) == {one, other})
    return next(found, None)


def taken_ids(shop: Shop) -> frozenset[str]:
    """All ids; no two of what has hours, of spools or of sheets may be the same."""
    lists = (shop.places, shop.people, shop.printers, shop.lasers, shop.spools, shop.sheets)
    return frozenset(record.id for records in lists for record in records)


def fresh(kind: str, name: str, shop: Shop) -> Record:
    """A new record with usual values.

    Args:
        kind: of which kind; no way.
        name: what it is called.
        shop: where it will be; places and materials are taken from there.
    """
    ident = free_name(slug(name), taken_ids(shop))
    where = shop.places[0].id if shop.places else "home"
    match kind:
        case "place":
            return Place(id=ident, name=name)
        case "person":
            return Person(id=ident, name=name, base=where, hours=USUAL_HOURS)
        case "printer":
            return Printer(id=ident, name=name, place=where, bed_mm=PRINTER_BED_MM)
        case "laser":
            return Laser(id=ident, name=name, place=where, bed_mm=LASER_BED_MM)
        case "spool":
            return Spool(id=ident, material=shop.filaments[0].id, mass_g=SPOOL_G)
        case _:
            material = next(m for m in shop.sheet_materials if m.cutting is Cutting.ALLOWED)
            sheet: dict[str, Any] = {"thickness_mm": THICKNESS_MM, "size_mm": SHEET_MM}
            return Sheet(id=ident, material=material.id, **sheet)


def copied(record: Record, shop: Shop) -> Record:
    """Another one like it, with an id and a name of its own."""
    if isinstance(record, Travel):
        raise TypeError("a way has no copy")
    ident = free_name(slug(record.id), taken_ids(shop))
    if isinstance(record, Spool | Sheet):
        return replace(record, id=ident)
    number = ident.removeprefix(slug(record.id)).removeprefix("-")
    name = f"{record.name} {number}".strip()
    return replace(record, id=ident, name=name)


def listed(record: Record) -> str:
    """What a record is called in a list; of stock, how much there is.

    >>> listed(Spool(id="white", material="PLA", mass_g=250))
    'white: PLA, 250 g'
    """
    if isinstance(record, Spool):
        return f"{record.id}: {record.material}, {record.mass_g:g} g"
    if isinstance(record, Sheet):
        return f"{record.id}: {record.thickness_mm:g} mm, {record.count}"
    return title(record)


def title(record: Record) -> str:
    """What a record is called.

    >>> title(Spool(id="white-pla", material="PLA", mass_g=250))
    'White pla'
    """
    if isinstance(record, Travel):
        return " - ".join(record.between)
    return readable(record.id) if isinstance(record, Spool | Sheet) else record.name
