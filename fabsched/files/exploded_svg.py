"""Bodies drawn apart from each other, as SVG: surfaces as an image, edges, names and leaders as lines.

Own drawing: faces shade with how much they look up; what something else hides is not drawn.
"""

from base64 import b64encode
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from fabsched.files.exploded_labels import Label, labels_of
from fabsched.files.exploded_look import Look, look_of
from fabsched.files.names import printable
from fabsched.files.png import png_bytes
from fabsched.model.shapes import Mesh

PICTURE = "exploded.svg"
"""Name of the file among those of a part taken apart."""
MARGIN_MM = 8.0
"""Room around the picture."""
LETTER = 0.024
"""Height of letters, as a share of the picture's longer side."""
LINE = 0.0012
"""Width of edges, likewise."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """One body in the picture.

    Attributes:
        label: name shown on it or beside it.
        mesh: the body in mm.
        colour: three shares of red, green and blue, 0 to 1, in full light.
    """

    label: str
    mesh: Mesh
    colour: tuple[float, float, float]


def exploded_svg(bodies: Sequence[Drawn]) -> bytes:
    """A picture of bodies where they are; the same bodies give the same bytes.

    Args:
        bodies: at least one, already moved apart.
    """
    look = look_of([body.mesh for body in bodies], MARGIN_MM)
    (x, y), (wide, tall) = look.low_mm, look.size_mm
    top = -y - tall
    size = max(wide, tall)
    letter = LETTER * float(size)
    names = [printable(body.label) for body in bodies]
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
            f'width="{wide:.2f}mm" height="{tall:.2f}mm" '
            f'viewBox="{x:.2f} {top:.2f} {wide:.2f} {tall:.2f}">'
        ),
        (
            f'<image x="{x:.2f}" y="{top:.2f}" width="{wide:.2f}" height="{tall:.2f}" '
            f'xlink:href="data:image/png;base64,{_image(look, bodies)}"/>'
        ),
        (
            f'<path fill="none" stroke="#303030" stroke-width="{LINE * size:.3f}" '
            f'stroke-linecap="round" d="{_path(look.lines)}"/>'
        ),
        f'<g font-family="sans-serif" font-size="{letter:.2f}" text-anchor="middle">',
        *_names(names, labels_of(look, names, letter), letter),
        "</g>",
        "</svg>",
    ]
    return ("\n".join(lines) + "\n").encode()


def _image(look: Look, bodies: Sequence[Drawn]) -> str:
    """The surfaces on white."""
    tones = np.array([body.colour for body in bodies])
    lit = np.clip(tones[look.body] * look.light[..., None], 0.0, 1.0)
    rgb = np.where((look.body >= 0)[..., None], np.round(255.0 * lit), 255.0)
    return b64encode(png_bytes(rgb.astype(np.uint8))).decode()


def _path(lines: NDArray[np.float64]) -> str:
    return " ".join(
        f"M{x0:.2f} {-y0:.2f}L{x1:.2f} {-y1:.2f}" for (x0, y0), (x1, y1) in lines.tolist()
    )


def _names(names: Sequence[str], labels: Sequence[Label | None], letter: float) -> Iterator[str]:
    """The names, each on a bright ground, with a line to the body where they stand beside it."""
    for name, label in zip(names, labels, strict=True):
        if label is None:
            continue
        (x, y), low = label.at_mm.tolist(), 0.36 * letter
        if label.points_mm is not None:
            px, py = label.points_mm.tolist()
            yield (
                f'<path d="M{x:.2f} {-y:.2f}L{px:.2f} {-py:.2f}" stroke="#202020" '
                f'stroke-width="{0.06 * letter:.2f}"/>'
            )
        wide = letter * (0.5 + 0.6 * len(name))
        yield (
            f'<rect x="{x - 0.5 * wide:.2f}" y="{-y - 0.55 * letter:.2f}" width="{wide:.2f}" '
            f'height="{1.1 * letter:.2f}" rx="{0.4 * letter:.2f}" fill="#ffffff" '
            'fill-opacity="0.8"/>'
        )
        yield f'<text x="{x:.2f}" y="{-y + low:.2f}" fill="#202020">{escape(name)}</text>'
