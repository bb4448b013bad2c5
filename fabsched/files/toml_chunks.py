"""A TOML document as text in pieces, each with the comments that belong to it.

A piece begins with the header of a table and the comment lines right above it; what comes before
the first header is the preamble. Pieces can be taken out, put in and moved without touching others.
"""

import re
from dataclasses import dataclass
from itertools import pairwise

HEADER = re.compile(r"\s*\[{1,2}\s*(?P<name>[\w.-]+)\s*\]{1,2}\s*(#.*)?")
"""The header of a table or of one table of an array."""


@dataclass(frozen=True, slots=True)
class Chunk:
    """A piece of a document.

    Attributes:
        kind: name in the header; empty for the preamble.
        text: the piece as it stands, its last line break included if it has one.
    """

    kind: str
    text: str


def split(text: str) -> list[Chunk]:
    r"""The pieces of a document, the preamble first; joined again they are the document.

    >>> [chunk.kind for chunk in split("a = 1\\n\\n# lid\\n[[part]]\\nid = 1\\n")]
    ['', 'part']
    >>> split("")
    [Chunk(kind='', text='')]
    """
    lines = text.splitlines(keepends=True)
    starts = [i for i, line in enumerate(lines) if HEADER.fullmatch(line.rstrip("\r\n"))]
    kinds = [_kind(lines[i]) for i in starts]
    cuts = [0, *(_with_comments(lines, i) for i in starts), len(lines)]
    pieces = ["".join(lines[a:b]) for a, b in pairwise(cuts)]
    return [Chunk(kind, piece) for kind, piece in zip(["", *kinds], pieces, strict=True)]


def join(chunks: list[Chunk]) -> str:
    """The document of these pieces."""
    return "".join(chunk.text for chunk in chunks)


def spaced(before: list[Chunk], chunk: Chunk) -> Chunk:
    """A new piece with the line breaks it needs to stand clear of what comes before it."""
    text = join(before)
    if not text or text.endswith("\n\n"):
        return chunk
    return Chunk(chunk.kind, ("\n" if text.endswith("\n") else "\n\n") + chunk.text)


def _kind(line: str) -> str:
    match = HEADER.fullmatch(line.rstrip("\r\n"))
    return match["name"] if match else ""


def _with_comments(lines: list[str], header: int) -> int:
    """The first of the comment lines right above a header."""
    first = header
    while first > 0 and lines[first - 1].lstrip().startswith("#"):
        first -= 1
    return first
