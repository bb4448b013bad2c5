"""Open time: a person's windows laid end to end, so that pauses take no room.

On such an axis a work that lies over lunch is as long as the work itself, hands of one person never
overlap means what it says, and the solver sees at once how much time there is. Clock time is open
time plus the pauses passed so far; each pause passed is one literal.
"""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass

Span = tuple[int, int]
"""From and to; for starts both are included, for open time the end is not."""


@dataclass(frozen=True, slots=True)
class Pause:
    """A stretch of the outer time line that open time leaves out.

    Attributes:
        mark: open time at which it lies.
        length: how long it is.
    """

    mark: int
    length: int


@dataclass(frozen=True, slots=True)
class Axis:
    """Spans of an outer time line, laid end to end.

    Attributes:
        spans: ascending, disjoint, not touching.
    """

    spans: tuple[Span, ...]

    @property
    def marks(self) -> tuple[int, ...]:
        """Open time at which each span starts."""
        marks, mark = [], 0
        for start, end in self.spans:
            marks.append(mark)
            mark += end - start
        return tuple(marks)

    @property
    def length(self) -> int:
        """All the open time there is."""
        return sum(end - start for start, end in self.spans)

    @property
    def origin(self) -> int:
        """Outer time at which open time begins.

        Raises:
            IndexError: it is never open.
        """
        return self.spans[0][0]

    @property
    def pauses(self) -> tuple[Pause, ...]:
        """What lies between the spans.

        >>> Axis(((2, 5), (9, 11))).pauses
        (Pause(mark=3, length=4),)
        """
        gaps = zip(self.marks[1:], self.spans, self.spans[1:], strict=False)
        return tuple(Pause(mark, after[0] - before[1]) for mark, before, after in gaps)

    def outer_start(self, inner: int) -> int:
        """Outer time at which something begins; on a mark, that is after the pause.

        >>> [Axis(((2, 5), (9, 11))).outer_start(t) for t in (0, 3)]
        [2, 9]
        """
        i = bisect_right(self.marks, inner) - 1
        return self.spans[i][0] + inner - self.marks[i]

    def inner(self, outer: int) -> int:
        """Open time passed until an outer moment.

        >>> [Axis(((2, 5), (9, 11))).inner(t) for t in (0, 4, 7, 10, 99)]
        [0, 2, 3, 4, 5]
        """
        return sum(max(0, min(outer, end) - start) for start, end in self.spans)

    def within(self, windows: Iterable[Span]) -> "Axis":
        """The open time that lies inside windows of the outer line, as an axis on this one.

        >>> Axis(((0, 4), (8, 12))).within([(2, 9), (11, 20)])
        Axis(spans=((2, 5), (7, 8)))
        """
        joined: list[Span] = []
        for start, end in ((self.inner(a), self.inner(b)) for a, b in windows):
            touches = joined and joined[-1][1] == start
            if start < end:
                joined.append((joined.pop()[0] if touches else start, end))
        return Axis(tuple(joined))

    def starts(self, windows: Iterable[Span], seconds: int) -> tuple[Span, ...]:
        """Open times at which something may begin that has to fit into one window.

        Args:
            windows: of the outer line; each lies inside one span.
            seconds: how long it takes.

        >>> Axis(((0, 4), (8, 12))).starts([(1, 4), (8, 9)], 2)
        ((1, 2),)
        """
        return tuple(
            (self.inner(start), self.inner(start) + end - start - seconds)
            for start, end in windows
            if end - start >= seconds
        )
