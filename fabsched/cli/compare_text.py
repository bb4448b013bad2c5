"""What `compare` says: the ways side by side as they come, and the verdict."""

from collections.abc import Iterator

from fabsched.advise.plates.comparing import Comparison, ways_in
from fabsched.advise.plates.slabs import Found
from fabsched.advise.plates.variants import Variant
from fabsched.cli.compare_remarks import name_of, remarks
from fabsched.cli.tables import GrowingTable, console
from fabsched.session.wording import figure, money, near, phrase, share, verdict

COLUMNS = (
    "Way",
    ">In time",
    ">A failure costs",
    ">9 in 10 below",
    ">Print",
    ">Cut",
    ">Hands",
    ">Plastic",
    ">Cost",
    ">Gives",
    ">Trips",
    "Warp",
)
"""Headings of the table."""
LEVELS = ("low", "medium", "high")
"""Levels of warp."""


class Telling:
    """Prints plates and ways as soon as they are known."""

    def __init__(self, currency: str) -> None:
        """Begin.

        Args:
            currency: of prices.
        """
        self._currency = currency
        self._table: GrowingTable | None = None

    def hear(self, what: object) -> None:
        """Print what was found on the way."""
        match what:
            case Found():
                self._begin(what)
            case Variant() if self._table and what.tally:
                self._table.add(_row(what, self._currency))

    def end(self, comparison: Comparison, force_n: float) -> None:
        """Print what follows the table: remarks and the verdict.

        Args:
            comparison: all ways.
            force_n: of the press plates are looked at under.
        """
        if self._table:
            self._table.end()
        out = console()
        for line in remarks(comparison, force_n):
            out.print(line)
        out.print(verdict(comparison.verdict.code, comparison.verdict.facts))

    def _begin(self, found: Found) -> None:
        out = console()
        for line in _plates(found):
            out.print(line)
        names = [name_of(pick) for pick in ways_in(found)]
        self._table = GrowingTable(COLUMNS, list(widest(names, self._currency)))


def widest(names: list[str], currency: str) -> Iterator[tuple[str, ...]]:
    """Rows with the longest texts that are usual."""
    long = max(names, key=len)
    for level in LEVELS:
        figures = ("99:59", "99:59", "99:59", "99:59", "99:59", "9999 g", money(999.99, currency))
        for chance, gives in ((0.001, phrase("gives-none")), (0.999, "99.9 mm")):
            yield (long, share(chance), *figures, gives, "9", phrase(f"warp-{level}"))


def _plates(found: Found) -> Iterator[str]:
    for number, slab in enumerate(found.slabs, start=1):
        area = round(slab.area_mm2)
        yield phrase("plate-line", number=number, sheet=slab.sheet_mm, area=area)
    for miss, known in found.numbered:
        why, size = near(miss.reason, miss.facts), round(miss.slab.area_mm2)
        if known is None:
            yield phrase("near-line", size=size, why=why)
        else:
            yield phrase("adoptable-line", number=known, size=size, why=why)


def _row(variant: Variant, currency: str) -> tuple[str, ...]:
    tally, exposure = variant.tally, variant.exposure
    if tally is None or exposure is None:
        return (name_of(variant.pick), *("" for _ in COLUMNS[1:]))
    return (
        name_of(variant.pick),
        share(variant.on_time),
        _time(exposure.mean_s),
        _time(exposure.p90_s),
        _time(tally.printing_s),
        _time(tally.cutting_s),
        _time(tally.hands_s),
        f"{tally.mass_g:.0f} g",
        "" if tally.cost is None else money(tally.cost, currency),
        _gives(variant),
        str(tally.trips),
        phrase(f"warp-{tally.warp}") if tally.warp else "",
    )


def _gives(variant: Variant) -> str:
    """How far its plates give at most; where that is told of none, so much."""
    sags = [give.worst.sag_mm for give in variant.gives]
    if sags:
        return f"{figure(max(sags), 1)} mm"
    return phrase("gives-none") if variant.untold else ""


def _time(seconds: float) -> str:
    """Hours and minutes.

    >>> _time(5430), _time(0)
    ('1:31', '0:00')
    """
    minutes = int(seconds / 60 + 0.5)
    return f"{minutes // 60}:{minutes % 60:02d}"
