"""A TOML document as text in pieces, each with the comments that belong to it.

A table is a piece: the comment lines right above its header, the header, its fields with the tables
inside it, and comment lines right below them. What stands apart, blank lines and free comments, is a piece without a kind,
and so is the preamble before the first table. Pieces can be taken out, put in and moved without
touching others.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
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


def with_new(
    chunks: Iterable[Chunk],
    kind: str,
    kept: Sequence[str],
    tables: Mapping[str, Callable[[], str]],
    kinds: Sequence[str],
) -> list[Chunk]:
    """Put in what is new, each behind the one it follows.

    Args:
        chunks: the pieces there are.
        kind: of what is put in.
        kept: keys of the pieces of this kind that are there, as they stand.
        tables: what writes each table of this kind, by key, in the order they shall stand in.
        kinds: all kinds, in the order they usually stand in.
    """
    result, left = list(chunks), iter(kept)
    keys = [next(left) if chunk.kind == kind else "" for chunk in result]
    at, known = _first_place(result, kind, kinds), set(kept)
    for key, text in tables.items():
        if key in known:
            at = keys.index(key) + 1
        else:
            result.insert(at, _new_chunk(result, at, kind, text()))
            keys.insert(at, key)
            at += 1
    return result


def _new_chunk(chunks: list[Chunk], at: int, kind: str, text: str) -> Chunk:
    """A new table that stands clear of its neighbours."""
    behind = join(chunks[at : at + 1])
    clear = "" if not behind or behind.startswith(("\n", "\r\n")) else "\n"
    return spaced(chunks[:at], Chunk(kind, text + clear))


def _first_place(chunks: list[Chunk], kind: str, kinds: Sequence[str]) -> int:
    """Where the first new table of a kind goes: before its own kind, else behind earlier kinds."""
    own = [i for i, chunk in enumerate(chunks) if chunk.kind == kind]
    earlier = kinds[: kinds.index(kind)]
    behind = [i + 1 for i, chunk in enumerate(chunks) if chunk.kind in earlier]
    return own[0] if own else (behind[-1] if behind else len(chunks))


def dropped(chunks: list[Chunk], index: int) -> list[Chunk]:
    """The pieces without one table, and without the blank lines on one side of it; comments stay.

    The fewer blank lines go, those behind it where there are as many; and none that the next table
    needs to stand clear.
    """
    before = join(chunks[index - 1 : index]) if _is_blank(chunks[index - 1 : index]) else ""
    behind = join(chunks[index + 1 : index + 2])
    first, end = index, index + 1
    if behind and not behind.strip() and len(behind) <= len(before or behind):
        end += 1
    elif before and index > 1 and (not behind or behind.startswith(("\n", "\r\n"))):
        first -= 1
    return [*chunks[:first], *chunks[end:]]


def _is_blank(chunks: Sequence[Chunk]) -> bool:
    """Whether there is a piece of blank lines."""
    return bool(chunks) and not chunks[0].kind and not chunks[0].text.strip()


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
