"""A TOML document as text in pieces, each with the comments that belong to it.

A table is a piece: the comment lines right above its header, the header, its fields with the tables
inside it, and comment lines right below them. What stands apart, blank lines and free comments, is a piece without a kind,
and so is the preamble before the first table. Pieces can be taken out, put in and moved without
touching others.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

HEADER = re.compile(r"\s*\[{1,2}\s*(?P<name>[\w.-]+)\s*\]{1,2}\s*(#.*)?")
"""The header of a table or of one table of an array."""


@dataclass(frozen=True, slots=True)
class Chunk:
    """A piece of a document.

    Attributes:
        kind: name in the header; empty for the preamble and for what stands between tables.
        text: the piece as it stands, its last line break included if it has one.
    """

    kind: str
    text: str


def split(text: str) -> list[Chunk]:
    r"""The pieces of a document, the preamble first; joined again they are the document.

    >>> [chunk.kind for chunk in split("a = 1\n\n# lid\n[[part]]\nid = 1\n\n# free\n\n")]
    ['', 'part', '']
    >>> split("")
    [Chunk(kind='', text='')]
    """
    lines = lines_of(text)
    headers = [i for i, line in enumerate(lines) if (kind := _kind(line)) and "." not in kind]
    firsts = [_first_comment(lines, header) for header in headers]
    chunks = [Chunk("", "".join(lines[: firsts[0] if firsts else None]))]
    ends = [*firsts[1:], len(lines)][: len(firsts)]
    for header, first, end in zip(headers, firsts, ends, strict=True):
        last = _last_own(lines, header, end)
        chunks.append(Chunk(_kind(lines[header]), "".join(lines[first:last])))
        if last < end:
            chunks.append(Chunk("", "".join(lines[last:end])))
    return chunks


def lines_of(text: str) -> list[str]:
    """The lines of a document with their ends; other line separators are text in TOML."""
    return re.findall(r"[^\n]*\n|[^\n]+", text)


def join(chunks: Iterable[Chunk]) -> str:
    """The document of these pieces."""
    return "".join(chunk.text for chunk in chunks)


def spaced(before: Iterable[Chunk], chunk: Chunk) -> Chunk:
    """A new piece with the line breaks it needs to stand clear of what comes before it."""
    text = join(before)
    if not text or text.endswith("\n\n"):
        return chunk
    return Chunk(chunk.kind, ("\n" if text.endswith("\n") else "\n\n") + chunk.text)


def dropped(chunks: list[Chunk], index: int) -> list[Chunk]:
    """The pieces without one table, and without the blank lines behind it; comments stay."""
    behind = chunks[index + 1 : index + 2]
    blank = bool(behind) and not behind[0].kind and not behind[0].text.strip()
    return [*chunks[:index], *chunks[index + (2 if blank else 1) :]]


def body_and_rest(text: str) -> tuple[str, str]:
    """A piece up to its last field, and the blank lines and comments behind it."""
    lines = lines_of(text)
    end = len(lines)
    while end > 0 and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    body = "".join(lines[:end])
    return (body if not body or body.endswith("\n") else f"{body}\n"), "".join(lines[end:])


def _kind(line: str) -> str:
    match = HEADER.fullmatch(line.rstrip("\r\n"))
    return match["name"] if match else ""


def _is_comment(line: str) -> bool:
    return line.lstrip().startswith("#")


def _first_comment(lines: list[str], header: int) -> int:
    """The first of the comment lines right above a header."""
    first = header
    while first > 0 and _is_comment(lines[first - 1]):
        first -= 1
    return first


def _last_own(lines: list[str], header: int, end: int) -> int:
    """Where a table's own lines end: behind its last field and the comments right below that."""
    last = end
    while last > header + 1 and (not lines[last - 1].strip() or _is_comment(lines[last - 1])):
        last -= 1
    while last < end and _is_comment(lines[last]):
        last += 1
    return last
