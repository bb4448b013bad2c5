"""Cut parts onto sheets: everything of one material that may be cut at the same time."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, combinations, islice
from types import MappingProxyType

from fabsched.model.project import Part
from fabsched.model.shop import Border, Shop
from fabsched.model.weekend import Run
from fabsched.nest.records import Placement
from fabsched.schedule.beds import Estimates, numbered
from fabsched.schedule.names import Namer
from fabsched.schedule.nesting import Size
from fabsched.schedule.piles import Cutting, Pile
from fabsched.schedule.sheet_filling import Filled, filled_sheets, on_one_sheet
from fabsched.schedule.sheet_runs import sheet_run


@dataclass(frozen=True, slots=True)
class LaidSheet:
    """A sheet with what is cut from it.

    Attributes:
        run: the run that cuts it.
        size_mm: width and height of the sheet; (0, 0) where shapes are not known.
        placements: where every copy lies on it; empty where shapes are not known.
        stock: id of the kind of sheet it is; empty if there are none such.
        outline: its border where it is no rectangle.
        keep_out: areas that stay free.
    """

    run: Run
    size_mm: Size = (0.0, 0.0)
    placements: tuple[Placement, ...] = ()
    stock: str = ""
    outline: Border = ()
    keep_out: tuple[Border, ...] = ()


JOINT = 12
"""Groups of sheets tried on one at most: each takes some tenths of a second (our own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSharing:
    """One sheet that can be cut instead of several.

    Attributes:
        out: ids of the runs it replaces.
        sheet: what is cut instead.
    """

    out: tuple[str, ...]
    sheet: LaidSheet


NO_WAYS: Mapping[str, tuple[str, ...]] = MappingProxyType({})
"""Where nothing is left open."""


def cut_sheets(
    parts: Sequence[Part],
    estimates: Mapping[str, Estimates],
    shop: Shop,
    namer: Namer,
    ways: Mapping[str, tuple[str, ...]] = NO_WAYS,
) -> tuple[tuple[LaidSheet, ...], tuple[SheetSharing, ...]]:
    """The attended runs that cut all copies of all cut parts, one sheet each.

    Parts of different ways to make something lie on different sheets, since nobody knows yet which
    will be cut; what may share a sheet if both are is told beside.

    Args:
        parts: cut parts, of any material.
        estimates: for one copy, by part and laser.
        shop: lasers to choose from and sheets in hand.
        namer: gives the ids.
        ways: ids of the open fork and the way a part belongs to, by its id; most belong to none.

    Raises:
        InputError: no laser can make one of them, or it fits no sheet.
    """
    cutting = Cutting(parts, estimates, shop, ways)
    sheets = [
        (pile, filled)
        for pile, members in cutting.piles().items()
        for filled in filled_sheets(cutting, pile, members)
    ]
    count = Counter((pile.name, pile.way) for pile, _ in sheets)
    seen: Counter[tuple[str, tuple[str, ...]]] = Counter()
    laid: list[tuple[Pile, LaidSheet]] = []
    for pile, filled in sheets:
        kind = (pile.name, pile.way)
        name = numbered(pile.name, seen[kind], count[kind])
        seen[kind] += 1
        ident = namer.fresh(f"{pile.stem}-{seen[kind]}")
        laid.append((pile, _laid(cutting, pile, filled, ident, name)))
    return tuple(sheet for _, sheet in laid), tuple(_sharings(cutting, laid, namer))


def _laid(cutting: Cutting, pile: Pile, filled: Filled, ident: str, name: str) -> LaidSheet:
    return LaidSheet(
        sheet_run(cutting, pile, filled, ident, name),
        filled.sheet.size_mm,
        filled.placements,
        filled.stock,
        filled.sheet.outline,
        filled.sheet.keep_out,
    )


def _sharings(
    cutting: Cutting, laid: Sequence[tuple[Pile, LaidSheet]], namer: Namer
) -> Iterator[SheetSharing]:
    """Pairs and triples of sheets of different ways whose parts fit onto one.

    Of each pile only the last sheet is looked at, since the others are full; what is cut anyway
    comes first.
    """
    known = [(pile, sheet) for pile, sheet in dict(laid).items() if sheet.placements]
    last = sorted(known, key=lambda each: bool(each[0].way))
    groups = chain(combinations(last, 2), combinations(last, 3))
    able = (
        group
        for group in groups
        if all(a.goes_with(b) for (a, _), (b, _) in combinations(group, 2))
    )
    for group in islice(able, JOINT):
        cargo = Counter[str]()
        for _, sheet in group:
            cargo.update(dict(sheet.run.cargo))
        filled = on_one_sheet(cutting, group[0][0], cargo)
        if filled is not None:
            ids = tuple(sheet.run.id for _, sheet in group)
            name = " + ".join(sheet.run.name for _, sheet in group)
            ident = namer.fresh("+".join(ids))
            yield SheetSharing(out=ids, sheet=_laid(cutting, group[0][0], filled, ident, name))
