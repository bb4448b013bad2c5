"""The request for what can be measured on a part, and its edits of critical dimensions."""

from dataclasses import dataclass, field, replace

from fabsched.files.names import slug
from fabsched.model.features import Dimension, Found
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.project import Fit, Part
from fabsched.session.inputs import EstimateInput
from fabsched.session.requests import LookRequest, next_id

DIGITS = 3
"""Lengths are kept to so many digits after the point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FeaturesResponse:
    """What can be measured on a part.

    Attributes:
        id: of the request.
        found: in the coordinates of the part's file; its owners go with the triangles of the part as
            it is shown. None for what is no solid.
    """

    id: int
    found: Found | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeaturesRequest(EstimateInput):
    """Look for holes, pegs and faces on one part.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> FeaturesResponse:
        """Read the file and search its surface.

        Raises:
            InputError: the file is at fault.
            Cancelled: the watch said stop.
        """
        from fabsched.session.looks import features_of_part  # noqa: PLC0415 - heavy

        return FeaturesResponse(id=self.id, found=features_of_part(self, watch))


def features_request(look: LookRequest) -> FeaturesRequest:
    """Ask what can be measured on what is shown."""
    return FeaturesRequest(
        part=look.part,
        path=look.path,
        where=look.where,
        machines=look.machines,
        material=look.material,
    )


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
    taken = {fit.id for fit in part.fits}
    ident, number = slug(name), 2
    while ident in taken:
        ident, number = f"{slug(name)}-{number}", number + 1
    return ident


def with_fit(part: Part, fit: Fit) -> Part:
    """The part with a critical dimension: in the place of that id, else at the end."""
    known = [each.id for each in part.fits]
    fits = [fit if each.id == fit.id else each for each in part.fits]
    return replace(part, fits=tuple(fits) if fit.id in known else (*fits, fit))


def without_fit(part: Part, ident: str) -> Part:
    """The part without a critical dimension."""
    return replace(part, fits=tuple(fit for fit in part.fits if fit.id != ident))


def _short(point: tuple[float, float, float]) -> tuple[float, float, float]:
    x, y, z = (round(value, DIGITS) + 0.0 for value in point)
    return x, y, z
