"""SVG files into drawings.

Shapes are outlines; what the laser does along one is told by its label, id or class, or by those of
a group around it. y is turned, so that the drawing looks in mm as it does on a screen.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from fabsched.files.curves import CHORD_MM
from fabsched.files.layer_names import LayerBook, operation_of
from fabsched.files.length_units import said_mm
from fabsched.files.outlines import Scale, left_out, outline, refuse_absurd, tidy
from fabsched.files.source import read_source
from fabsched.files.svg_shapes import Matrix, length_px, numbers, shape_paths, transform
from fabsched.files.svg_tree import Element, Tree, read_tree
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Finding
from fabsched.model.operations import Layers, Operation
from fabsched.model.shapes import Drawing, Outline

PX_MM = 25.4 / 96
"""A user unit without a size of the page: 96 to the inch (CSS Values 3, px)."""
Size = tuple[float | None, float | None]
"""Width and height; None where it is not known."""
GROUPS = frozenset({"svg", "g", "a", "switch", "use"})
"""Elements whose children are drawn."""
NO_OUTLINES = frozenset({"text", "image", "foreignObject"})
"""Elements that show something which is no outline."""


@dataclass(frozen=True, slots=True)
class _Context:
    """What an element takes over from those around it.

    Attributes:
        matrix: map from its user units to mm.
        room: width and height of the viewport, in user units.
        operation: what is done along it unless it says so itself.
        by_project: whether the project said so; then only the project says otherwise.
        layer: name of the nearest group that has one.
        visible: whether it is to be seen.
        used: width and height given by the `use` that refers to it; None if none does.
    """

    matrix: Matrix
    room: Size
    operation: Operation | None = None
    by_project: bool = False
    layer: str = ""
    visible: bool = True
    used: Size | None = None


@dataclass(slots=True)
class _Reading:
    """One file while it is read: where, its tree, its layers, and kinds left out."""

    where: str
    tree: Tree
    layers: LayerBook
    kinds: list[str] = field(default_factory=list)


def read_svg(
    path: Path, unit: str | None = None, layers: Layers = ()
) -> tuple[Drawing, tuple[Finding, ...]]:
    """Read the outlines of an SVG file.

    Args:
        path: the file.
        unit: unit of one user unit; None takes the size of the page, and 1/96 inch with a finding
            if it has none in a unit of length.
        layers: what is done along what bears a label, id or class, or lies in such a group; the
            rest goes by the beginning of its names, and all else is cut.

    Returns:
        The drawing in mm, and what was noticed.

    Raises:
        InputError: the file is missing, cut off, no SVG, holds nothing usable, or lacks a name
            that is in `layers`.
    """
    where = str(path)
    tree = read_tree(read_source(path), where)
    context, scale = _page(tree.root, unit, where)
    reading = _Reading(where, tree, LayerBook(layers, where))
    paths = list(_outlines(reading, context))
    layered = reading.layers.findings()
    drawing, findings = tidy(paths, scale, where)
    drawing = replace(drawing, layers=reading.layers.done())
    return drawing, (*findings, *layered, *left_out(reading.kinds, where))


def _page(root: Element, unit: str | None, where: str) -> tuple[_Context, Scale]:
    """Map from user units to mm, y upwards, and how it was found."""
    box = _box(root, where)
    width, height = _size(root, where)
    if unit is not None or (width is None and height is None):
        scale = Scale(PX_MM, assumed=True) if unit is None else Scale(said_mm(unit, where))
        x, y, tall = (box[0], box[1], box[3]) if box else (0.0, 0.0, height or 0.0)
        inner = np.array([[1.0, 0, -x], [0, 1, -y], [0, 0, 1]])
    else:
        scale = Scale(PX_MM, assumed=_is_px(root))
        inner = _viewport(root, (0.0, 0.0), (width, height), where)
        tall = height if height is not None else _other(width, box)
    mm = scale.mm
    matrix = np.array([[mm, 0, 0], [0, -mm, mm * tall], [0, 0, 1]]) @ inner
    return _Context(matrix, (box[2], box[3]) if box else (width, height)), scale


def _is_px(root: Element) -> bool:
    """Whether the size of the page is given in user units only."""
    text = root.attributes.get("width") or root.attributes.get("height", "")
    return text.strip()[-1:].isdigit() or text.strip().lower().endswith(("px", "."))


def _side_px(element: Element, name: str, where: str) -> float | None:
    text = element.attributes.get(name, "").strip()
    if not text or text == "auto" or text.endswith("%"):
        return None
    return length_px(text, element, where)


def _size(element: Element, where: str) -> Size:
    return _side_px(element, "width", where), _side_px(element, "height", where)


def _other(width: float | None, box: list[float] | None) -> float:
    return width * box[3] / box[2] if width is not None and box else 0.0


def _box(element: Element, where: str) -> list[float] | None:
    """The view box (x, y, width, height), if it has one."""
    text = element.attributes.get("viewBox", "")
    box = numbers(text, element, where)
    if not box:
        return None
    if len(box) != 4 or box[2] <= 0 or box[3] <= 0:
        raise InputError(
            Fault.NUMBER_MALFORMED, where, text=f"viewBox {text[:40]}", line=element.line
        )
    return box


def _viewport(
    element: Element,
    corner: tuple[float, float],
    size: Size,
    where: str,
) -> Matrix:
    """Map of a view box onto its viewport (SVG 2 chapter 8.2)."""
    box = _box(element, where)
    if box is None or size == (None, None):
        return np.array([[1.0, 0, corner[0]], [0, 1, corner[1]], [0, 0, 1]])
    x, y, wide, tall = box
    sx = size[0] / wide if size[0] is not None else None
    sy = size[1] / tall if size[1] is not None else None
    sx, sy = (sx if sx is not None else sy or 0.0), (sy if sy is not None else sx or 0.0)
    align, _, mode = element.attributes.get("preserveAspectRatio", "xMidYMid meet").partition(" ")
    if align != "none":
        sx = sy = max(sx, sy) if mode.strip() == "slice" else min(sx, sy)
    shift = (
        corner[0] + _share(align, "x") * ((size[0] or sx * wide) - sx * wide) - sx * x,
        corner[1] + _share(align, "Y") * ((size[1] or sy * tall) - sy * tall) - sy * y,
    )
    return np.array([[sx, 0, shift[0]], [0, sy, shift[1]], [0, 0, 1]])


def _share(align: str, axis: str) -> float:
    """How much of the spare room lies before the picture."""
    if axis + "Max" in align:
        return 1.0
    return 0.5 if axis + "Mid" in align else 0.0


def _outlines(reading: _Reading, around: _Context) -> Iterator[Outline]:
    """Every outline in the order of the file; `use` is followed, its size was counted before."""
    stack = [(reading.tree.root, around)]
    while stack:
        element, outer = stack.pop()
        style = reading.tree.style(element)
        context = _entered(reading, element, style, outer)
        if context is None:
            continue
        if element.tag in GROUPS or (element.tag == "symbol" and outer.used is not None):
            inner = _children(reading, element, context)
            stack.extend(reversed(inner))
        else:
            yield from _drawn(reading, element, context)


def _entered(
    reading: _Reading, element: Element, style: Mapping[str, str], outer: _Context
) -> _Context | None:
    """The context inside an element; None if nothing in it counts."""
    if style.get("display") == "none":
        return None
    named = _named(reading, element, outer)
    if named.operation is Operation.IGNORE:
        return None
    if style.get("clip-path", "none") != "none" or style.get("mask", "none") != "none":
        reading.kinds.append("clipping")
    matrix = outer.matrix @ transform(style.get("transform", ""), element, reading.where)
    shown = style.get("visibility")
    visible = outer.visible if shown is None else shown == "visible"
    return replace(named, matrix=matrix, visible=visible)


def _named(reading: _Reading, element: Element, outer: _Context) -> _Context:
    """The context around an element with what its names say about it.

    The names are a label (as drawing programs give to layers, or by WAI-ARIA), the id and classes.
    """
    told = element.attributes
    names = [told[name] for name in ("label", "aria-label", "id") if told.get(name)]
    names += told.get("class", "").split()
    reading.layers.meet(names)
    layer = names[0] if names and element.tag in GROUPS else outer.layer
    if (asked := reading.layers.asked(names)) is not None:
        return replace(outer, operation=asked, by_project=True, layer=layer)
    usual = next((found for name in names if (found := operation_of(name))), None)
    if usual is None or outer.by_project:
        return replace(outer, layer=layer)
    return replace(outer, operation=usual, layer=layer)


def _children(
    reading: _Reading, element: Element, context: _Context
) -> list[tuple[Element, _Context]]:
    """What is drawn inside a group, each with the context it is drawn in."""
    where, attributes = reading.where, element.attributes
    corner = tuple(length_px(attributes.get(n) or "0", element, where) for n in ("x", "y"))
    if element.tag == "use":
        target = reading.tree.by_id.get(element.target or "")
        if target is None:
            reading.kinds.append("use")
            return []
        size = _size(element, where)
        shift = np.array([[1.0, 0, corner[0]], [0, 1, corner[1]], [0, 0, 1]])
        inside = replace(context, matrix=context.matrix @ shift, used=size)
        return [(target, inside)]
    if element is not reading.tree.root and element.tag in {"svg", "symbol"}:
        context = _inner_page(element, context, (corner[0], corner[1]), where)
    inside = replace(context, used=None)
    return [(child, inside) for child in element.children]


def _inner_page(
    element: Element, context: _Context, corner: tuple[float, float], where: str
) -> _Context:
    """The context inside a nested `svg` or a symbol; without a size it fills the room there is."""
    asked = zip(context.used or (None, None), _size(element, where), context.room, strict=True)
    width, height = (next((side for side in sides if side is not None), None) for sides in asked)
    inner = context.matrix @ _viewport(element, corner, (width, height), where)
    box = _box(element, where)
    return replace(context, matrix=inner, room=(box[2], box[3]) if box else (width, height))


def _drawn(reading: _Reading, element: Element, context: _Context) -> Iterator[Outline]:
    if element.tag in NO_OUTLINES:
        reading.kinds.append(element.tag)
        return
    refuse_absurd(context.matrix, "transform", reading.where)
    stretch = float(np.linalg.norm(context.matrix[:2, :2], ord=2))
    runs = shape_paths(element, CHORD_MM / max(stretch, 1e-12), reading.where)
    if runs and not context.visible:
        reading.kinds.append(f"hidden {element.tag}")
        return
    for run in runs or ():
        points = run @ context.matrix[:2, :2].T + context.matrix[:2, 2]
        operation = context.operation or Operation.CUT
        reading.layers.note(context.layer, operation, own=context.operation is not None)
        yield outline(points, operation)
