"""Test parts taken apart, and what is made of them."""

from manifold3d import Manifold

from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.frames import solid_of
from fabsched.advise.plates.joinery import Joinery
from fabsched.advise.plates.splitting import Split, split
from fabsched.model.shapes import Mesh
from tests.advise import bodies


def apart(name: str, count: int, joinery: Joinery | None = None) -> tuple[Mesh, Split]:
    """A test part, and the same taken apart at its first plates."""
    mesh = bodies.WITH_PLATES[name]()
    return mesh, split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs[:count], joinery)


def solids(done: Split) -> list[Manifold]:
    """All that is made, where it was in the part."""
    return [plate.body() for plate in done.plates] + [
        solid_of(piece.mesh, "piece") for piece in done.pieces
    ]


def joins(done: Split) -> list[str]:
    """How the contacts are joined."""
    return sorted(str(joint.join) for joint in done.joints)
