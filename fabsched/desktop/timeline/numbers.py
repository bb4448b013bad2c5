"""Numbers for blocks too narrow for a name, set beside one another as near to them as can be.

No Qt here, so that it can be tested as numbers.
"""

from collections.abc import Sequence


def kept(
    wanted: Sequence[float], widths: Sequence[float], far: float, left: float, right: float
) -> tuple[int, ...]:
    """Which of some things can stand in a row if each may be moved aside so far; from the left.

    Args:
        wanted: their left edges if there was room, rising.
        widths: how wide they are.
        far: how far each may be moved.
        left: the first edge there is.
        right: the last one.

    Returns:
        Indices of those that have a place, in order.
    """
    found, edge = list[int](), left
    for index, (at, width) in enumerate(zip(wanted, widths, strict=True)):
        start = max(at - far, edge)
        if start <= at + far and start + width <= right:
            found.append(index)
            edge = start + width
    return tuple(found)


def spread(
    wanted: Sequence[float], widths: Sequence[float], left: float, right: float
) -> tuple[float, ...]:
    """Left edges of things in a row: in order, apart, and as near as can be to where they belong.

    The sum of the squares of what they are moved is the least there is: isotonic regression by
    pooling adjacent violators (Ayer, Brunk, Ewing, Reid & Silverman 1955), after taking off the
    widths of all that stand before.

    Args:
        wanted: their left edges if there was room, rising.
        widths: how wide they are, gaps included.
        left: the first edge there is.
        right: the last one; where they are wider together, they reach beyond it.
    """
    before = [sum(widths[:index]) for index in range(len(widths))]
    most = max(left, right - sum(widths))
    pools: list[tuple[float, int]] = []
    for at, taken in zip(wanted, before, strict=True):
        pools.append((at - taken, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (one, many), (other, more) = pools[-2:]
            pools[-2:] = [((one * many + other * more) / (many + more), many + more)]
    level = [min(max(value, left), most) for value, count in pools for _ in range(count)]
    return tuple(value + taken for value, taken in zip(level, before, strict=True))
