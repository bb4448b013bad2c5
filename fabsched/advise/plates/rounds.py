"""What three plates pass on in a round where they meet, so that in the end none would have it.

Where two plates cross and a third runs below both, the third may leave a spot to the first, the first
to the second, and the second to the third. Such a spot is the winner's of the last two.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from manifold3d import CrossSection, Manifold

from fabsched.advise.plates.frames import joined, prism
from fabsched.advise.plates.slabs import Slab

NOTHING_MM3 = 1e-3
"""Overlaps and bodies smaller than this are rounding."""


@dataclass(slots=True)
class Claim:
    """A plate while edges are dealt out.

    Attributes:
        slab: where it lies.
        area: what is left to it, in the slab's frame.
        gap: what it lost to the play around fingers that nobody has, in the slab's frame.
        edges: strips along which it meets other plates, in the slab's frame.
    """

    slab: Slab
    area: CrossSection
    gap: CrossSection
    edges: list[CrossSection]

    def laid(self, body: Manifold) -> CrossSection:
        """What a body of the part covers of it half-way, in its frame."""
        return self.slab.frame.laid(body).slice(0.5 * (self.slab.low_mm + self.slab.high_mm))

    def raised(self, area: CrossSection) -> Manifold:
        """An area in its frame, as thick as the plate, as a body of the part."""
        return self.slab.frame.raised(prism(area, self.slab.low_mm, self.slab.high_mm))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Deal:
    """How two plates share a bar in which they meet.

    Attributes:
        bar: the bar.
        given: what the smaller plate has of it.
    """

    bar: Manifold
    given: Manifold


Deals = Mapping[tuple[int, int], Sequence[Deal]]
"""By the numbers of both plates, the larger one first."""


def close_rounds(claims: Sequence[Claim], deals: Deals) -> None:
    """Give what goes round among three plates to one of them, and count play once.

    Args:
        claims: all plates, the larger first; their areas are changed.
        deals: what was dealt out between each two.
    """
    for numbers, cell, given in list(_cells(deals)):
        three = [claims[number] for number in numbers]
        lost = cell - joined([claim.raised(claim.area + claim.gap) for claim in three])
        for spot in lost.decompose():
            if spot.volume() > NOTHING_MM3:
                third_wins = (spot ^ given).volume() > 0.5 * spot.volume()
                _hand(spot, reversed(three) if third_wins else (three[1], three[2], three[0]))
    for one, other in deals if len(claims) > 2 else ():
        _count_once(claims[one], claims[other])


def _cells(deals: Deals) -> Iterator[tuple[tuple[int, int, int], Manifold, Manifold]]:
    """Where three plates meet: their numbers, the place, and what the third has of the second's."""
    larger: dict[int, list[int]] = defaultdict(list)
    for one, other in deals:
        larger[other].append(one)
    for (second, third), last in deals.items():
        for first in larger[second]:
            ways = product(deals[first, second], deals.get((first, third), ()), last)
            for low, middle, high in ways:
                yield (first, second, third), low.bar ^ middle.bar ^ high.bar, high.given


def _hand(spot: Manifold, claims: Iterable[Claim]) -> None:
    """Give a spot to the first plate that it reaches all through and hangs together with."""
    for claim in claims:
        area = claim.laid(spot)
        through = abs(area.area() * claim.slab.thick_mm - spot.volume()) < NOTHING_MM3
        grown = claim.area + area
        if through and len(grown.decompose()) <= len(claim.area.decompose()):
            claim.area = grown
            return


def _count_once(one: Claim, other: Claim) -> None:
    """What another plate has, or lost to play itself, is no play of the first."""
    one.gap -= one.laid(one.raised(one.gap) ^ other.raised(other.area + other.gap))
    other.gap -= other.laid(other.raised(other.gap) ^ one.raised(one.area))
