"""Changes of a part's critical dimensions."""

from dataclasses import replace

from fabsched.files.names import free_name, slug
from fabsched.model.features import Dimension
from fabsched.model.project import Fit, Part
from fabsched.session.edits import with_one

DIGITS = 3
"""Lengths are kept to so many digits after the point."""


def fit_of(part: Part, found: Dimension, name: str) -> Fit:
    """A critical dimension from what was measured, its id free among those of the part."""
    at, size = _short(found.at_mm), _short(found.size_mm)
    one, other = (_short(end) for end in found.ends_mm)
    fit = Fit(
        id=free_id(part, name),
        name=name,
        at_mm=at,
        size_mm=size,
        kind=found.kind,
        axis=found.axis,
        ends_mm=(one, other),
    )
    return replace(fit, nominal_mm=None if fit.drawn_mm is None else round(fit.drawn_mm, DIGITS))


def free_id(part: Part, name: str) -> str:
    """An id from a name that no critical dimension of the part has yet."""
    return free_name(slug(name), {fit.id for fit in part.fits})


def with_fit(part: Part, fit: Fit) -> Part:
    """The part with a critical dimension: in the place of that id, else at the end."""
    return replace(part, fits=with_one(part.fits, fit))


def without_fit(part: Part, ident: str) -> Part:
    """The part without a critical dimension."""
    return replace(part, fits=tuple(fit for fit in part.fits if fit.id != ident))


def _short(point: tuple[float, float, float]) -> tuple[float, float, float]:
    x, y, z = (round(value, DIGITS) + 0.0 for value in point)
    return x, y, z
