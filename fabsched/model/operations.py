"""What a laser does along a line; light, since project files name it."""

from enum import StrEnum


class Operation(StrEnum):
    """What the laser does along an outline."""

    CUT = "cut"
    SCORE = "score"
    ENGRAVE = "engrave"
    IGNORE = "ignore"


Layers = tuple[tuple[str, Operation], ...]
"""Names of layers, or of groups, ids and classes of an SVG file, each with what is done along it."""
