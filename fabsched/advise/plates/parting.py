"""Plates that are the only thing between two halves of what is printed."""

from fabsched.advise.plates.splitting import Split

HALF = 0.2
"""Share of all that is printed from which a piece counts as a half, and not as a boss (own choice)."""


def parted_by(split: Split) -> tuple[int, ...]:
    """Numbers of the plates on whose two sides a half of the print stands each.

    Were such a plate printed as well, there would be one print and nothing to glue. Halves that another
    plate joins too are not told.
    """
    least = HALF * sum(piece.volume_mm3 for piece in split.pieces)
    halves = {n for n, piece in enumerate(split.pieces) if piece.volume_mm3 >= least}
    return tuple(n for n in range(len(split.plates)) if _parts(split, n, halves))


def _parts(split: Split, plate: int, halves: set[int]) -> bool:
    """Whether a plate has one half on one side and another on the other, which nothing else joins."""
    over, under = (_on(split, plate, side) & halves for side in (1, -1))
    others = [_on(split, n, 1, 0, -1) for n in range(len(split.plates)) if n != plate]
    return any(
        not any({one, other} <= joined for joined in others)
        for one in over - under
        for other in under - over
    )


def _on(split: Split, plate: int, *sides: int) -> set[int]:
    """Numbers of the pieces joined to a plate on some sides."""
    return {j.piece for j in split.joints if j.plate == plate and j.side in sides}
