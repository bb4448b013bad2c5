"""DXF files into drawings.

Lines, arcs, circles, ellipses, splines and polylines of the model space are outlines; inserted
blocks are taken apart. What a block reference stands for is counted before anything is expanded.
Group codes and units follow the DXF reference (AutoCAD 2018 edition).
"""

import logging
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fabsched.files.curves import CHORD_MM
from fabsched.files.dxf_entities import entity_points
from fabsched.files.fanout import count_instances
from fabsched.files.layer_names import LayerBook, operation_of
from fabsched.files.length_units import said_mm
from fabsched.files.outlines import Scale, left_out, outline, refuse_absurd, tidy
from fabsched.files.source import read_source
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding
from fabsched.model.operations import Layers, Operation
from fabsched.model.shapes import Drawing, Outline

MOST_ENTITIES = 50_000
"""Entities a drawing may stand for, those inside blocks counted as often as they are inserted."""
FLAT_MM = 0.01
"""What rises more than this over the drawing plane is no outline in it."""

INCH_MM = 25.4
SURVEY_FOOT_MM = 1200 / 3937 * 1000
"""US survey foot (Mendenhall Order, 1893)."""
UNIT_MM: Mapping[int, float] = {
    1: INCH_MM,
    2: 12 * INCH_MM,
    3: 63360 * INCH_MM,
    4: 1.0,
    5: 10.0,
    6: 1e3,
    7: 1e6,
    8: 1e-6 * INCH_MM,
    9: 1e-3 * INCH_MM,
    10: 36 * INCH_MM,
    11: 1e-7,
    12: 1e-6,
    13: 1e-3,
    14: 100.0,
    15: 1e4,
    16: 1e5,
    17: 1e12,
    18: 149_597_870_700e3,
    19: 9_460_730_472_580_800e3,
    20: 149_597_870_700e3 * 648_000 / math.pi,
    21: SURVEY_FOOT_MM,
    22: SURVEY_FOOT_MM / 12,
    23: SURVEY_FOOT_MM * 3,
    24: SURVEY_FOOT_MM * 5280,
}
"""Millimetres in a unit by its number in `$INSUNITS`; 0 is unitless."""

FOREIGN = (
    ArithmeticError,
    AttributeError,
    LookupError,
    RuntimeError,
    StopIteration,
    TypeError,
    ValueError,
)
"""What the library raises on broken input besides its own family."""


@dataclass(slots=True)
class _Reading:
    """One file while it is read.

    Attributes:
        where: the file.
        mm: millimetres in its unit.
        layers: what is done along the lines of each layer.
        hidden: names of layers that are off, frozen or not plotted.
        kinds: entities left out so far.
    """

    where: str
    mm: float
    layers: LayerBook
    hidden: frozenset[str]
    kinds: list[str] = field(default_factory=list)

    def check(self, numbers: NDArray[np.float64]) -> None:
        """Refuse numbers that are not finite or that no part's drawing holds."""
        refuse_absurd(numbers, "entity", self.where)

    def path(self, entity: Any, layer: str) -> Outline | None:
        """The outline of an entity; None, and a note, if it is none."""
        self.layers.meet((layer,))
        said = self.layers.asked((layer,)) or operation_of(layer)
        if said is Operation.IGNORE:
            return None
        if layer.lower() in self.hidden or entity.dxf.get("invisible", 0):
            self.kinds.append(f"hidden {entity.dxftype()}")
            return None
        points = entity_points(entity, CHORD_MM / self.mm, self.check)
        if points is None:
            self.kinds.append(entity.dxftype())
            return None
        if np.ptp(points[:, 2]) * self.mm > FLAT_MM:
            self.kinds.append(f"tilted {entity.dxftype()}")
            return None
        operation = said or Operation.CUT
        self.layers.note(layer, operation, own=said is not None)
        return outline(points[:, :2] * self.mm, operation)


def read_dxf(
    path: Path, unit: str | None = None, layers: Layers = ()
) -> tuple[Drawing, tuple[Finding, ...]]:
    """Read the outlines of a DXF file.

    Args:
        path: the file.
        unit: unit of its numbers; None takes the file's own, and mm with a finding if it has none.
        layers: what is done along the lines of a layer; the others go by the beginning of their
            name, and all else is cut.

    Returns:
        The drawing in mm, and what was noticed.

    Raises:
        InputError: the file is missing, cut off, no DXF, holds nothing usable, or lacks a layer
            that is named.
    """
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415 - takes half a second, and only DXF needs it

    where = str(path)
    data = read_source(path)
    try:
        with _warnings() as heard:
            document = _document(path, data, where)
        scale = _scale(document, data, unit, where)
        book = LayerBook(layers, where)
        book.meet(layer.dxf.name for layer in document.layers)
        reading = _Reading(where, scale.mm, book, _hidden(document))
        reading.kinds.extend("unreadable" for _ in heard.messages)
        _count(document, where)
        found = [reading.path(*pair) for pair in _expanded(document, reading.kinds)]
    except (DXFError, *FOREIGN) as error:
        why = " ".join(str(error).split())[:200] or type(error).__name__
        raise InputError(Fault.FILE_READER_FAILED, where, kind="DXF", why=why) from error
    layered = book.findings()
    drawing, findings = tidy([path for path in found if path is not None], scale, where)
    drawing = replace(drawing, layers=book.done())
    return drawing, (*findings, *layered, *left_out(reading.kinds, where))


class _Ear(logging.Handler):
    """Keeps what the library has to say."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.messages: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one message."""
        self.messages.append(record.getMessage())


@contextmanager
def _warnings() -> Iterator[_Ear]:
    """Hear the warnings with which the library leaves out what it cannot read."""
    logger, ear = logging.getLogger("ezdxf"), _Ear()
    propagate = logger.propagate
    logger.addHandler(ear)
    logger.propagate = False
    try:
        yield ear
    finally:
        logger.removeHandler(ear)
        logger.propagate = propagate


def _document(path: Path, data: bytes, where: str) -> Any:
    from ezdxf.filemanagement import readfile  # noqa: PLC0415 - see above

    if not data.rstrip(b"\0\r\n\t ").endswith(b"EOF"):
        code = Fault.FILE_NO_END if b"SECTION" in data[:2000] else Fault.FILE_NOT_OF_KIND
        raise InputError(code, where, kind="DXF", mark="EOF")
    try:
        return readfile(path)
    except OSError as error:  # the library's way to say that it is no DXF file
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind="DXF") from error


def _scale(document: Any, data: bytes, unit: str | None, where: str) -> Scale:
    """The library fills missing header fields with defaults, so that the bytes are asked too."""
    if unit is not None:
        return Scale(said_mm(unit, where))
    number = document.header.get("$INSUNITS", 0) if b"$INSUNITS" in data else 0
    known = UNIT_MM.get(number)
    return Scale(1.0, assumed=True) if known is None else Scale(known)


def _hidden(document: Any) -> frozenset[str]:
    """Layers that are not to be seen; `Defpoints` never is, by the DXF reference."""
    hidden = {
        layer.dxf.name.lower()
        for layer in document.layers
        if layer.is_off() or layer.is_frozen() or not layer.dxf.get("plot", 1)
    }
    return frozenset(hidden | {"defpoints"})


def _count(document: Any, where: str) -> None:
    """Refuse drawings whose blocks stand for too many entities, or contain themselves."""

    def contents(name: str) -> tuple[int, Mapping[str, int]]:
        layout = document.blocks.get(name) if name else document.modelspace()
        inserts: Counter[str] = Counter()
        for entity in layout or ():
            if entity.dxftype() == "INSERT" and entity.dxf.name:
                # The library walks through all rows and columns, even those without spacing.
                times = max(1, entity.dxf.row_count) * max(1, entity.dxf.column_count)
                inserts[entity.dxf.name.lower()] += times
        return len(layout or ()), inserts

    count_instances("", contents, MOST_ENTITIES, where)


def _expanded(document: Any, kinds: list[str]) -> Iterator[tuple[Any, str]]:
    """Every entity with its layer, blocks taken apart.

    What lies on layer 0 of a block takes the layer of its insertion (DXF reference, BLOCKS).
    """
    stack: list[tuple[Iterator[Any], str]] = [(iter(document.modelspace()), "0")]
    while stack:
        entities, around = stack[-1]
        entity = next(entities, None)
        if entity is None:
            stack.pop()
            continue
        layer = entity.dxf.layer if entity.dxf.layer != "0" else around
        if entity.dxftype() == "INSERT":
            stack.append((_inside(entity, kinds), layer))
        else:
            yield entity, layer


def _inside(insert: Any, kinds: list[str]) -> Iterator[Any]:
    """The entities one block reference stands for, each at its place."""
    block = insert.block()
    if block is None or block.block.is_xref:
        kinds.append("INSERT")
        return
    kinds.extend("ATTRIB" for _ in insert.attribs)
    copies: Iterable[Any] = insert.multi_insert() if insert.mcount > 1 else (insert,)
    for copy in copies:
        yield from copy.virtual_entities(
            skipped_entity_callback=lambda entity, _why: kinds.append(entity.dxftype())
        )
