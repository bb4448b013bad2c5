"""One SVG shape into the points of its paths, in its own user units.

Numbers, path data and transforms follow SVG 2 (W3C Candidate Recommendation, 4 October 2018),
chapters 8 to 10. What does not match their grammar is refused rather than shortened.
"""

import math
import re
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fabsched.files.curves import bezier_points, turn_points
from fabsched.files.outlines import refuse_absurd
from fabsched.files.svg_tree import Element
from fabsched.model.errors import Fault, InputError

Points2 = NDArray[np.float64]
Matrix = NDArray[np.float64]
"""(3, 3) affine map of column vectors (x, y, 1)."""

PX_PER_UNIT: Mapping[str, float] = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "mm": 96 / 25.4,
    "cm": 960 / 25.4,
    "q": 24 / 25.4,
    "pt": 96 / 72,
    "pc": 16.0,
}
"""User units in a length unit (CSS Values 3, absolute lengths)."""

NUMBER = r"(?>[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
"""Atomic, since the grammar takes as many digits as it can."""
LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-zA-Z]*|%)\s*")
SEPARATOR = r"[\s,]*"
NUMBERS = re.compile(rf"{SEPARATOR}(?:{NUMBER}{SEPARATOR})*")
ARC = rf"(?:{SEPARATOR}{NUMBER}){{3}}{SEPARATOR}[01]{SEPARATOR}[01](?:{SEPARATOR}{NUMBER}){{2}}"
COMMAND = re.compile(
    rf"\s*(?:[Zz]{SEPARATOR}|[Aa](?:{ARC})+{SEPARATOR}|"
    + "|".join(
        rf"[{letters}](?:(?:{SEPARATOR}{NUMBER}){{{count}}})+{SEPARATOR}"
        for letters, count in (("MmLlTt", 2), ("HhVv", 1), ("SsQq", 4), ("Cc", 6))
    )
    + ")"
)
TRANSFORM = re.compile(r"\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)[\s,]*")


def shape_paths(element: Element, chord: float, where: str) -> list[Points2] | None:
    """Points along every path of a shape.

    Args:
        element: any element.
        chord: largest distance between a curve and its chords, in user units.
        where: the file, for errors.

    Returns:
        Runs of (n, 2) points, closed ones ending where they began; None if it is no shape.

    Raises:
        InputError: a number or its path data cannot be read.
    """
    reader = READERS.get(element.tag)
    if reader is None:
        return None
    shape = _Shape(element, chord, where)
    return [run for run in reader(shape) if len(run) > 1]


class _Shape:
    """A shape with what is needed to read it."""

    def __init__(self, element: Element, chord: float, where: str) -> None:
        self.element = element
        self.chord = chord
        self.where = where

    def number(self, name: str, default: float = 0.0) -> float:
        text = self.element.attributes.get(name, "")
        if not text or text == "auto":
            return default
        return length_px(text, self.element, self.where)

    def refused(self, text: str) -> InputError:
        return malformed(text, self.element, self.where)


def malformed(text: str, element: Element, where: str) -> InputError:
    """The error for text that is no number."""
    short = text.strip()[:40]
    return InputError(Fault.NUMBER_MALFORMED, where, text=short, line=element.line)


def length_px(text: str, element: Element, where: str) -> float:
    """A length in user units.

    Raises:
        InputError: it is no number, or its unit is relative or unknown.
    """
    found = LENGTH.fullmatch(text)
    if not found or found[2].lower() not in PX_PER_UNIT:
        raise malformed(text, element, where)
    value = float(found[1]) * PX_PER_UNIT[found[2].lower()]
    refuse_absurd(np.array(value), element.tag, where)
    return value


def numbers(text: str, element: Element, where: str) -> list[float]:
    """A list of numbers divided by spaces or commas.

    Raises:
        InputError: something else is among them.
    """
    if not NUMBERS.fullmatch(text):
        raise malformed(text, element, where)
    values = [float(n) for n in re.findall(NUMBER, text)]
    refuse_absurd(np.array(values, dtype=np.float64), element.tag, where)
    return values


def transform(text: str, element: Element, where: str) -> Matrix:
    """The map of a `transform` attribute: the product of its functions in order.

    Raises:
        InputError: it cannot be read.
    """
    result = np.eye(3)
    at = 0
    while found := TRANSFORM.match(text, at):
        result = result @ _function(
            found[1], numbers(found[2], element, where), text, element, where
        )
        at = found.end()
    if text[at:].strip():
        raise malformed(text, element, where)
    return result


def _function(name: str, values: list[float], text: str, element: Element, where: str) -> Matrix:
    """The map of one transform function (SVG 2 chapter 8.5, CSS Transforms 1)."""
    if len(values) not in {
        "matrix": (6,),
        "rotate": (1, 3),
        "translate": (1, 2),
        "scale": (1, 2),
    }.get(name, (1,)):
        raise malformed(text, element, where)
    first = values[0]
    if name == "matrix":
        a, b, c, d, e, f = values
        return _map(a, b, c, d, e, f)
    if name == "translate":
        return _map(1, 0, 0, 1, first, values[1] if len(values) > 1 else 0.0)
    if name == "scale":
        return _map(first, 0, 0, values[-1], 0, 0)
    angle = math.radians(first)
    if name == "rotate":
        x, y = values[1:] or (0.0, 0.0)
        c, s = math.cos(angle), math.sin(angle)
        return _map(c, s, -s, c, x - c * x + s * y, y - s * x - c * y)
    slope = math.tan(angle)
    return _map(1, 0, slope, 1, 0, 0) if name == "skewX" else _map(1, slope, 0, 1, 0, 0)


def _map(a: float, b: float, c: float, d: float, e: float, f: float) -> Matrix:
    return np.array([[a, c, e], [b, d, f], [0, 0, 1]], dtype=np.float64)


def _rect(shape: _Shape) -> list[Points2]:
    x, y = shape.number("x"), shape.number("y")
    w, h = shape.number("width"), shape.number("height")
    rx, ry = shape.number("rx", -1), shape.number("ry", -1)
    rx, ry = (rx if rx >= 0 else max(ry, 0.0)), (ry if ry >= 0 else max(rx, 0.0))
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if w <= 0 or h <= 0:
        return []
    if rx == 0 or ry == 0:
        return [np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)])]
    middles = (
        (x + w - rx, y + ry),
        (x + w - rx, y + h - ry),
        (x + rx, y + h - ry),
        (x + rx, y + ry),
    )
    corners = [
        _turn(shape, middle, (rx, ry), (k - 1) * math.pi / 2, math.pi / 2)
        for k, middle in enumerate(middles)
    ]
    return [np.concatenate([*corners, corners[0][:1]])]


def _circle(shape: _Shape) -> list[Points2]:
    r = shape.number("r")
    return _round(shape, r, r)


def _ellipse(shape: _Shape) -> list[Points2]:
    rx, ry = shape.number("rx", -1), shape.number("ry", -1)
    return _round(shape, rx if rx >= 0 else ry, ry if ry >= 0 else rx)


def _round(shape: _Shape, rx: float, ry: float) -> list[Points2]:
    if rx <= 0 or ry <= 0:
        return []
    centre = shape.number("cx"), shape.number("cy")
    return [_turn(shape, centre, (rx, ry), 0.0, math.tau)]


def _turn(
    shape: _Shape,
    centre: tuple[float, float],
    radii: tuple[float, float],
    start: float,
    sweep: float,
) -> Points2:
    across, along = np.array([radii[0], 0.0]), np.array([0.0, radii[1]])
    return turn_points(np.array(centre), across, along, start, sweep, shape.chord)


def _line(shape: _Shape) -> list[Points2]:
    names = (("x1", "y1"), ("x2", "y2"))
    return [np.array([[shape.number(x), shape.number(y)] for x, y in names])]


def _polyline(shape: _Shape) -> list[Points2]:
    text = shape.element.attributes.get("points", "")
    values = numbers(text, shape.element, shape.where)
    if len(values) % 2:
        raise shape.refused(text[-40:])
    points = np.array(values, dtype=np.float64).reshape(-1, 2)
    closing = points[:1] if shape.element.tag == "polygon" else points[:0]
    return [np.concatenate([points, closing])]


def _path(shape: _Shape) -> list[Points2]:
    """Path data; checked first, since the library reads bad data as far as it is good."""
    from svgelements import Path  # noqa: PLC0415 - only paths need it

    data = shape.element.attributes.get("d", "").strip()
    if not data or data == "none":
        return []
    _check_path(data, shape)
    runs: list[list[Points2]] = []
    fresh = True
    try:
        segments = list(Path(data))
    except (ArithmeticError, ValueError) as error:  # what both make of the grammar differs
        raise shape.refused(data) from error
    for segment in segments:
        kind = type(segment).__name__
        if kind == "Move":
            fresh = True
            continue
        points = _segment(kind, segment, shape.chord)
        if fresh:
            runs.append([points])
        else:
            runs[-1].append(points[1:])
        fresh = kind == "Close"
    return [np.concatenate(run) for run in runs]


def _check_path(data: str, shape: _Shape) -> None:
    at = 0
    while found := COMMAND.match(data, at):
        at = found.end()
    if at < len(data) or data[0] not in "Mm":
        raise shape.refused(data[at if at < len(data) else 0 :])
    values = np.array([float(n) for n in re.findall(NUMBER, data)], dtype=np.float64)
    refuse_absurd(values, "path", shape.where)


def _segment(kind: str, segment: Any, chord: float) -> Points2:
    if kind == "Arc":
        centre = np.array(tuple(segment.center))
        across, along = np.array(tuple(segment.prx)), np.array(tuple(segment.pry))
        start, sweep = float(segment.get_start_t()), float(segment.sweep)
        points = turn_points(centre, across - centre, along - centre, start, sweep, chord)
        points[0], points[-1] = tuple(segment.start), tuple(segment.end)
        return points
    names = {"QuadraticBezier": ("control",), "CubicBezier": ("control1", "control2")}.get(kind, ())
    controls = [getattr(segment, name) for name in ("start", *names, "end")]
    return bezier_points(np.array([tuple(c) for c in controls], dtype=np.float64), chord)


READERS: Mapping[str, Callable[[_Shape], list[Points2]]] = {
    "rect": _rect,
    "circle": _circle,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": _polyline,
    "polygon": _polyline,
    "path": _path,
}
