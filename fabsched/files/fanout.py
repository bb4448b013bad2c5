"""What nested references stand for, counted before anything is expanded."""

from collections.abc import Callable, Iterator, Mapping

from fabsched.model.errors import Fault, InputError

Contents = Callable[[str], tuple[int, Mapping[str, int]]]
"""Own entities of a named group, and how often it refers to each other group."""

CEILING = 2**62
"""Counts stop growing here."""


def count_instances(root: str, contents: Contents, limit: int, where: str) -> int:
    """How many entities a group stands for, with everything it refers to.

    Args:
        root: name of the outermost group.
        contents: tells what is in a group.
        limit: most entities allowed.
        where: the file, for errors.

    Returns:
        The count; each reference counts once more for itself.

    Raises:
        InputError: it is above the limit, or a group contains itself.
    """
    totals: dict[str, int] = {}
    opened: dict[str, Iterator[str]] = {root: iter(contents(root)[1])}
    while opened:
        name = next(reversed(opened))
        inner = next((key for key in opened[name] if key not in totals), None)
        if inner is None:
            del opened[name]
            totals[name] = _total(contents(name), totals)
        elif inner in opened:
            raise InputError(Fault.NESTED_IN_ITSELF, where, name=inner)
        else:
            opened[inner] = iter(contents(inner)[1])
    if totals[root] > limit:
        raise InputError(Fault.NESTING_TOO_DEEP, where, limit=limit)
    return totals[root]


def _total(content: tuple[int, Mapping[str, int]], totals: Mapping[str, int]) -> int:
    own, references = content
    total = own + sum(times * (1 + totals[name]) for name, times in references.items())
    return min(total, CEILING)
