"""What a part looks like, small enough to be shown. Heavy: imported when a request runs."""

from fabsched.estimate.coarse import coarsened
from fabsched.estimate.features import features_of, owners_on
from fabsched.estimate.rotation import rotation
from fabsched.estimate.turning import turned
from fabsched.files.parts import read_part
from fabsched.model.features import Found
from fabsched.model.progress import Watch, check
from fabsched.model.shapes import Drawing, Mesh
from fabsched.session.inputs import EstimateInput

MOST_FACES = 40_000
"""More triangles than this are no use on a screen (our own choice)."""
COARSE_SHARE = 1 / 400
"""How far, of its largest side, corners of a part with fewer triangles may lie off its surface."""


def look_of_part(given: EstimateInput, watch: Watch) -> Mesh | Drawing | None:
    """Read a part's file for showing it: a solid as it stands on the bed, or outlines.

    Returns:
        None for prints prepared elsewhere, which have no surface.

    Raises:
        InputError: the file is at fault.
        Cancelled: the watch said stop.
    """
    shape, _ = read_part(given.path, given.part.unit, given.part.layers)
    check(watch)
    if isinstance(shape, Mesh):
        return coarsened(turned(shape, given.part.turn_deg), MOST_FACES)
    return shape if isinstance(shape, Drawing) else None


def features_of_part(given: EstimateInput, watch: Watch) -> Found | None:
    """Read a part's file for measuring on it.

    Returns:
        What there is, in the file's coordinates, with an owner for every triangle of
        `look_of_part`; None for what is no solid.

    Raises:
        InputError: the file is at fault.
        Cancelled: the watch said stop.
    """
    shape, _ = read_part(given.path, given.part.unit, given.part.layers)
    check(watch)
    if not isinstance(shape, Mesh):
        return None
    found = features_of(shape)
    check(watch)
    shown = coarsened(turned(shape, given.part.turn_deg), MOST_FACES)
    if len(shown.faces) == len(shape.faces):
        return found
    back = Mesh(shown.vertices @ rotation(given.part.turn_deg), shown.faces)
    slack_mm = COARSE_SHARE * max(shape.size_mm)
    return Found(features=found.features, owner=owners_on(back, found.features, slack_mm))
