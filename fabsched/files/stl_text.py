"""STL written as text.

Per facet there are 21 words: `facet normal i j k`, `outer loop`, three times `vertex x y z`,
`endloop`, `endfacet`; around all facets of a body, `solid` and `endsolid` with a name of any words.
Words are told apart by their place, so that a misspelled one does no harm.
"""

import re

import numpy as np
from numpy.typing import NDArray

from fabsched.files.mesh_text import floats, line_malformed
from fabsched.model.errors import Fault, InputError

SOLID_LINE = re.compile(rb"^[ \t]*(?:end)?solid(?:[ \t].*)?$", re.MULTILINE)
"""Where a body begins or ends; the rest of the line is its name."""
END = b"endsolid"

FACET_WORDS = 21
COORDINATES = (8, 9, 10, 12, 13, 14, 16, 17, 18)
"""Places of the coordinates among a facet's words."""
KEYWORDS = {
    0: b"facet",
    1: b"normal",
    5: b"outer",
    6: b"loop",
    7: b"vertex",
    11: b"vertex",
    15: b"vertex",
    19: b"endloop",
    20: b"endfacet",
}
"""The other words by their places, but for the normal, which is left out."""


def is_text(data: bytes) -> bool:
    """Whether an STL file is text: binary ones may begin with `solid` too, but hold zero bytes."""
    start = data.removeprefix(b"\xef\xbb\xbf").lstrip()[:5]
    return start.lower() == b"solid" and b"\0" not in data


def text_corners(data: bytes, where: str) -> tuple[NDArray[np.float64], int]:
    """Read the facets of all bodies.

    Args:
        data: the whole file.
        where: its name.

    Returns:
        The corners, (3m, 3), and how many bytes follow the last body.

    Raises:
        InputError: the end is missing, a facet is not one, or a coordinate is no number.
    """
    text = data.removeprefix(b"\xef\xbb\xbf").lower()
    text = text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    marks = list(SOLID_LINE.finditer(text))
    last = max((i + 1 for i, mark in enumerate(marks) if END in mark[0].split()[:1]), default=0)
    rest = text[marks[last - 1].end() :].strip() if last else text
    if not last or rest.startswith((b"solid", b"facet")):
        raise InputError(Fault.FILE_NO_END, where, mark=END.decode())
    starts = [0, *(mark.end() for mark in marks[:last])]
    bodies = b"".join(text[a : mark.start()] for a, mark in zip(starts, marks[:last], strict=False))
    return _corners(bodies, where), len(rest)


def _corners(bodies: bytes, where: str) -> NDArray[np.float64]:
    """The corners, (3m, 3), of facets written one after the other."""
    words = bodies.split()
    _check_words(words, bodies, where)
    columns = [floats(words[place::FACET_WORDS], bodies, where) for place in COORDINATES]
    return np.stack(columns, axis=1).reshape(-1, 3)


def _check_words(words: list[bytes], bodies: bytes, where: str) -> None:
    """Refuse facets with too few or too many words: then numbers stand where words should."""
    wrong = []
    for place, keyword in KEYWORDS.items():
        column = words[place::FACET_WORDS]
        odd = {word for word in set(column) if word != keyword and not word.isalpha()}
        wrong += [place + FACET_WORDS * column.index(word) for word in odd]
    if len(words) % FACET_WORDS:
        wrong.append(len(words) - len(words) % FACET_WORDS)
    if wrong:
        raise line_malformed(_line_of(min(wrong), bodies), bodies, where, kind="STL")


def _line_of(index: int, bodies: bytes) -> int:
    """Number of the line with a word, of which `index` others come before."""
    before = 0
    for number, line in enumerate(bodies.split(b"\n"), start=1):
        before += len(line.split())
        if before > index:
            return number
    return bodies.count(b"\n") + 1
