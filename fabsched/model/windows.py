"""Open time as sorted, disjoint half-open intervals of whole seconds since the epoch (UTC).

All calendar arithmetic happens here, in UTC, so that a weekend on which the clocks change is an
ordinary weekend.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

NEVER = 2**53
"""A moment that does not come; exact as a float as well."""


@dataclass(frozen=True, slots=True)
class Windows:
    """When something is open.

    Attributes:
        spans: (start, end) pairs, ascending, disjoint, not touching, each longer than nothing.

    Raises:
        ValueError: the spans break that order; use `Windows.of` for untidy ones.
    """

    spans: tuple[tuple[int, int], ...]

    def __post_init__(self) -> None:
        """Refuse spans out of order."""
        if any(start >= end for start, end in self.spans):
            raise ValueError("a window must end after it starts")
        if any(a[1] >= b[0] for a, b in pairwise(self.spans)):
            raise ValueError("windows must be ascending and apart")

    @classmethod
    def of(cls, spans: Iterable[tuple[int, int]]) -> "Windows":
        """Tidy any spans: sort them, drop empty ones, join those that touch or overlap.

        >>> Windows.of([(5, 9), (0, 3), (3, 4), (8, 12), (7, 7)])
        Windows(spans=((0, 4), (5, 12)))
        >>> Windows.of([])
        Windows(spans=())
        """
        joined: list[tuple[int, int]] = []
        for start, end in sorted(span for span in spans if span[0] < span[1]):
            if joined and start <= joined[-1][1]:
                joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
            else:
                joined.append((start, end))
        return cls(tuple(joined))

    @classmethod
    def always(cls, start: int, end: int) -> "Windows":
        """Open throughout a horizon."""
        return cls.of([(start, end)])

    def __iter__(self) -> Iterator[tuple[int, int]]:
        """The spans in order."""
        return iter(self.spans)

    def __and__(self, other: "Windows") -> "Windows":
        """When both are open.

        >>> Windows.of([(0, 10), (20, 30)]) & Windows.of([(5, 25)])
        Windows(spans=((5, 10), (20, 25)))
        """
        return Windows.of(
            (max(a0, b0), min(a1, b1))
            for a0, a1 in self.spans
            for b0, b1 in other.spans
            if max(a0, b0) < min(a1, b1)
        )

    def __or__(self, other: "Windows") -> "Windows":
        """When either is open."""
        return Windows.of((*self.spans, *other.spans))

    def __sub__(self, other: "Windows") -> "Windows":
        """When this is open and the other is closed.

        >>> Windows.of([(0, 10)]) - Windows.of([(3, 4), (8, 20)])
        Windows(spans=((0, 3), (4, 8)))
        """
        if not self.spans:
            return self
        low, high = self.spans[0][0], self.spans[-1][1]
        return self & other.closed_within(low, high)

    def closed_within(self, start: int, end: int) -> "Windows":
        """The complement inside [start, end)."""
        edges = [start, *(moment for span in self.spans for moment in span), end]
        gaps = zip(edges[::2], edges[1::2], strict=True)
        return Windows.of((max(a, start), min(b, end)) for a, b in gaps)

    def clipped(self, start: int, end: int) -> "Windows":
        """Only what lies inside [start, end)."""
        return self & Windows.always(start, end)

    def _index_at(self, moment: int) -> int:
        """Index of the first span that ends after `moment` (may be len(spans))."""
        return bisect_right([end for _, end in self.spans], moment)

    def is_open(self, moment: int) -> bool:
        """Whether `moment` lies inside a window (ends are outside)."""
        i = self._index_at(moment)
        return i < len(self.spans) and self.spans[i][0] <= moment

    def closes(self, moment: int) -> int:
        """When the window that holds an open moment ends.

        Raises:
            IndexError: it is closed from that moment on.
        """
        return self.spans[self._index_at(moment)][1]

    def next_open(self, moment: int) -> int:
        """The first open moment at or after `moment`; `NEVER` if there is none."""
        i = self._index_at(moment)
        return max(moment, self.spans[i][0]) if i < len(self.spans) else NEVER

    def first_fit(self, moment: int, seconds: int) -> int:
        """The first start at or after `moment` whose `seconds` fit into one window; else `NEVER`.

        >>> Windows.of([(0, 10), (20, 60)]).first_fit(5, 10)
        20
        """
        for start, end in self.spans[self._index_at(moment) :]:
            if max(start, moment) + seconds <= end:
                return max(start, moment)
        return NEVER

    def add(self, moment: int, seconds: int) -> int:
        """When `seconds` of open time have passed since `moment`; `NEVER` if they never do.

        Nothing to do ends at `moment` itself. Work that ends exactly at a closing time ends there,
        not at the next opening.

        >>> Windows.of([(0, 10), (20, 60)]).add(5, 10)
        25
        >>> Windows.of([(0, 10), (20, 60)]).add(5, 5)
        10
        """
        if seconds <= 0:
            return moment
        left = seconds
        for start, end in self.spans[self._index_at(moment) :]:
            begin = max(start, moment)
            if left <= end - begin:
                return begin + left
            left -= end - begin
        return NEVER

    def open_s(self, start: int, end: int) -> int:
        """Seconds of open time inside [start, end)."""
        return sum(max(0, min(b, end) - max(a, start)) for a, b in self.spans)

    def pieces(self, start: int, end: int) -> tuple[tuple[int, int], ...]:
        """The open stretches inside [start, end)."""
        return self.clipped(start, end).spans if start < end else ()
