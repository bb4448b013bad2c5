"""Readable names for what a project's items become."""

from collections.abc import Iterable


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
