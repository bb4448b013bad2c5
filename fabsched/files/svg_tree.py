"""The elements of an SVG file, read by a strict pass over its XML.

Nothing else ever parses the XML: no document type with declarations, no entities, no external
files; depth and number of elements are limited, and what `use` stands for is counted.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from fabsched.files.fanout import count_instances
from fabsched.model.errors import Fault, InputError

MOST_ELEMENTS = 100_000
"""Elements a drawing may stand for, those under `use` counted as often as they are used."""
DEEPEST = 200
"""Levels elements may be nested."""
PAPER, SCREEN = re.compile(r"\b(print|speech)\b"), re.compile(r"\b(screen|all|not)\b")
"""Media a group of style rules may be for; a drawing is taken as it looks on a screen."""
BRACES = re.compile("[{}]")
XLINK = "http://www.w3.org/1999/xlink "


@dataclass(slots=True)
class Element:
    """One element.

    Attributes:
        tag: its name without namespace.
        attributes: as written, links and labels without namespace.
        line: where it begins.
        children: in order.
    """

    tag: str
    attributes: Mapping[str, str]
    line: int
    children: list["Element"] = field(default_factory=list)

    @property
    def target(self) -> str | None:
        """Id a `use` refers to; None for every other element."""
        href = self.attributes.get("href", "")
        return href[1:] if self.tag == "use" and href.startswith("#") else None


@dataclass(slots=True)
class Tree:
    """A whole file.

    Attributes:
        root: its outermost element.
        by_id: the first element with each id.
        rules: declarations by CSS selector, simple selectors only.
    """

    root: Element
    by_id: Mapping[str, Element]
    rules: Mapping[str, Mapping[str, str]]

    def style(self, element: Element) -> dict[str, str]:
        """Declarations that hold for an element: attributes, style sheet, then `style`."""
        selectors = (
            "*",
            element.tag,
            *(f".{c}" for c in element.attributes.get("class", "").split()),
        )
        found = dict(element.attributes)
        for selector in (*selectors, f"#{element.attributes.get('id', '')}"):
            found.update(self.rules.get(selector, {}))
        found.update(_declarations(element.attributes.get("style", "")))
        return found


def read_tree(data: bytes, where: str) -> Tree:
    """Read the elements of an SVG file and make sure that expanding them stays small.

    Args:
        data: the bytes of the file.
        where: the file, for errors.

    Raises:
        InputError: it is no SVG, is cut off, declares entities, or stands for too much.
    """
    builder = _Builder(where)
    root = builder.feed(data)
    if root.tag != "svg":
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind="SVG")
    by_id: dict[str, Element] = {}
    for element in walk(root):
        if ident := element.attributes.get("id"):
            by_id.setdefault(ident, element)
    _count(root, by_id, where)
    return Tree(root, by_id, _rules("".join(builder.sheets)))


def walk(root: Element) -> Iterator[Element]:
    """An element and everything inside it, in the order of the file."""
    stack = [root]
    while stack:
        element = stack.pop()
        yield element
        stack.extend(reversed(element.children))


class _Builder:
    """Turns the events of the parser into elements."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.top = Element("", {}, 0)
        self.stack = [self.top]
        self.count = 0
        self.sheets: list[str] = []
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.EntityDeclHandler = self._refuse
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text

    def feed(self, data: bytes) -> Element:
        try:
            self.parser.Parse(data, True)
        except expat.ExpatError as error:
            raise self._mapped(error, data) from error
        except LookupError as error:  # an encoding nobody knows
            why = str(error)
            raise InputError(Fault.FILE_READER_FAILED, self.where, kind="SVG", why=why) from error
        return self.top.children[0]

    def _mapped(self, error: expat.ExpatError, data: bytes) -> InputError:
        if not self.top.children:
            return InputError(Fault.FILE_NOT_OF_KIND, self.where, kind="SVG")
        if len(self.stack) > 1 and not data.rstrip().endswith(b"</svg>"):
            return InputError(Fault.FILE_NO_END, self.where, mark="</svg>")
        return InputError(Fault.FILE_READER_FAILED, self.where, kind="SVG", why=str(error))

    def _doctype(
        self, _name: str, _system: str | None, _public: str | None, has_internal_subset: bool
    ) -> None:
        if has_internal_subset:
            self._refuse()

    def _refuse(self, *_: object) -> None:
        raise InputError(Fault.XML_ENTITIES, self.where, kind="SVG")

    def _start(self, name: str, attributes: Mapping[str, str]) -> None:
        self.count += 1
        if self.count > MOST_ELEMENTS:
            raise InputError(Fault.NESTING_TOO_DEEP, self.where, limit=MOST_ELEMENTS)
        if len(self.stack) > DEEPEST:
            raise InputError(Fault.NESTING_TOO_DEEP, self.where, limit=DEEPEST)
        plain = {_plain(key): value for key, value in attributes.items()}
        tag = name.rpartition(" ")[2]
        element = Element(tag, plain, self.parser.CurrentLineNumber)
        self.stack[-1].children.append(element)
        self.stack.append(element)

    def _end(self, _name: str) -> None:
        self.stack.pop()

    def _text(self, text: str) -> None:
        if self.stack[-1].tag == "style":
            self.sheets.append(text)


def _count(root: Element, by_id: Mapping[str, Element], where: str) -> None:
    def contents(name: str) -> tuple[int, Mapping[str, int]]:
        inside = list(walk(by_id[name] if name else root))
        targets = (element.target for element in inside)
        return len(inside), Counter(t for t in targets if t and t in by_id)

    count_instances("", contents, MOST_ELEMENTS, where)


def _plain(name: str) -> str:
    """An attribute's name as it is asked for: links, and labels of any namespace, without theirs."""
    return "label" if name.endswith(" label") else name.removeprefix(XLINK)


def _rules(sheet: str) -> dict[str, dict[str, str]]:
    rules: dict[str, dict[str, str]] = {}
    for block in _for_screens(_without_comments(sheet)).split("}"):
        head, brace, body = block.rpartition("{")
        selectors = head.rpartition("{")[2] if brace else ""  # behind the head of a group of rules
        for selector in selectors.split(","):
            rules.setdefault(selector.strip(), {}).update(_declarations(body))
    return rules


def _without_comments(sheet: str) -> str:
    """A style sheet without its comments, in one pass: a pattern would look again and again."""
    first, *rest = sheet.split("/*")
    return first + "".join(piece.partition("*/")[2] for piece in rest)


def _for_screens(sheet: str) -> str:
    """A style sheet without what holds only on paper or for the ear (`@media`, Media Queries 4)."""
    first, *groups = sheet.split("@media")
    kept = [first]
    for group in groups:
        asked, brace, rest = group.partition("{")
        end = _end_of_block(rest) if brace else 0
        elsewhere = PAPER.search(asked) and not SCREEN.search(asked)
        kept.append(rest[end:] if elsewhere else group)
    return "".join(kept)


def _end_of_block(text: str) -> int:
    """Where a block that is open at the beginning has been closed."""
    depth = 1
    for mark in BRACES.finditer(text):
        depth += 1 if mark[0] == "{" else -1
        if not depth:
            return mark.end()
    return len(text)


def _declarations(text: str) -> dict[str, str]:
    """Declarations of a rule or of a `style` attribute."""
    pairs = (part.partition(":") for part in text.split(";") if ":" in part)
    return {key.strip().lower(): value.replace("!important", "").strip() for key, _, value in pairs}
