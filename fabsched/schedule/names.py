"""Readable names for what a project's items become."""

from collections.abc import Iterable, Sequence
from itertools import accumulate


def bed_names(name: str, beds: Sequence[int], before: int, copies: int) -> tuple[str, ...]:
    """Names for beds with copies of one part, each told by which of the copies lie on it.

    The same for beds as usual, for those taken apart, and for the parts of shared ones; figures
    alone, so that they read alike in every language.

    Args:
        name: name shown of the part.
        beds: copies on each.
        before: copies on beds named before.
        copies: how many there are in all.

    >>> bed_names("Foot", (2, 1), 1, 4), bed_names("Foot", (4,), 0, 4)
    (('Foot 2\u20133/4', 'Foot 4/4'), ('Foot',))
    """
    firsts = accumulate(beds[:-1], initial=before + 1)
    return tuple(_bed_name(name, *each, copies) for each in zip(firsts, beds, strict=True))


def _bed_name(name: str, first: int, count: int, copies: int) -> str:
    if count == copies:
        return name
    which = f"{first}" if count == 1 else f"{first}\u2013{first + count - 1}"
    return f"{name} {which}/{copies}"


class Namer:
    """Hands out readable names that nothing else has."""

    def __init__(self, taken: Iterable[str]) -> None:
        self._taken = set(taken)

    def row(self, stem: str, count: int, mark: str = "-") -> tuple[str, ...]:
        """Names for `count` activities that come from one item or one sheet material.

        A single one keeps the stem itself.

        >>> Namer([]).row("louvre", 2), Namer([]).row("funnel", 1)
        (('louvre-1', 'louvre-2'), ('funnel',))
        """
        if count == 1:
            return (stem,)
        return tuple(self.fresh(f"{stem}{mark}{i + 1}") for i in range(count))

    def fresh(self, name: str) -> str:
        """The name itself, or with a mark if it is taken.

        >>> Namer(["lid-1"]).fresh("lid-1")
        'lid-1_'
        """
        while name in self._taken:
            name += "_"
        self._taken.add(name)
        return name
