"""What a part looks like, small enough to be shown. Heavy: imported when a request runs."""

from fabsched.estimate.coarse import coarsened
from fabsched.estimate.turning import turned
from fabsched.files.parts import read_part
from fabsched.model.progress import Watch, check
from fabsched.model.shapes import Drawing, Mesh
from fabsched.session.inputs import EstimateInput

MOST_FACES = 40_000
"""More triangles than this are no use on a screen (our own choice)."""


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
