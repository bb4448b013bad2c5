"""What a comparison of the ways to make a part is given."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fabsched.advise.plates.joinery import Joinery, Press
from fabsched.model.estimates import Estimate
from fabsched.model.project import Part, Project
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Shop


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CompareInput:
    """A part to be compared.

    Attributes:
        project: the project it belongs to.
        shop: what there is.
        estimates: of every part of the project.
        part: the part; it is printed now.
        mesh: what its file holds.
        joinery: measures of the joints.
        press: what plates have to bear.
        also: numbers of the plates of a way that is compared whatever else is.
    """

    project: Project
    shop: Shop
    estimates: Mapping[str, Mapping[str, Estimate]]
    part: Part
    mesh: Mesh
    joinery: Joinery = field(default_factory=Joinery)
    press: Press = field(default_factory=Press)
    also: tuple[int, ...] = ()
