"""Two orders of the same things: how far apart they are, and what was moved."""

from bisect import bisect_left, insort
from collections.abc import Iterable, Sequence


def turned(order: Iterable[str], base: Iterable[str]) -> float:
    """Share of the pairs of activities in both orders that stand the other way round, 0 to 1.

    >>> turned("abcd", "abdc"), turned("ab", "xy")
    (0.16666666666666666, 0.0)
    """
    rank = {ident: place for place, ident in enumerate(base)}
    places = [rank[ident] for ident in order if ident in rank]
    pairs = len(places) * (len(places) - 1) // 2
    behind: list[int] = []
    wrong = 0
    for place in reversed(places):
        wrong += bisect_left(behind, place)
        insort(behind, place)
    return wrong / pairs if pairs else 0.0


def moved(order: Sequence[str], base: Sequence[str]) -> tuple[str, ...]:
    """The fewest activities whose moving turns one order into the other, in that order.

    What is in one of them only is left out.

    >>> moved("abdc", "abcd"), moved("dabc", "abcd")
    (('d',), ('d',))
    """
    rank = {ident: place for place, ident in enumerate(base)}
    both = [ident for ident in order if ident in rank]
    stay = frozenset(longest_rising([rank[ident] for ident in both]))
    return tuple(ident for place, ident in enumerate(both) if place not in stay)


def longest_rising(values: Sequence[int]) -> list[int]:
    """Places of a longest rising subsequence (patience sorting: Fredman, Discrete Mathematics 11, 1975)."""
    tails: list[int] = []
    last: list[int] = []
    before: list[int | None] = [None] * len(values)
    for place, value in enumerate(values):
        pile = bisect_left(tails, value)
        before[place] = last[pile - 1] if pile else None
        tails[pile : pile + 1] = [value]
        last[pile : pile + 1] = [place]
    places: list[int] = []
    at = last[-1] if last else None
    while at is not None:
        places.append(at)
        at = before[at]
    return places[::-1]
