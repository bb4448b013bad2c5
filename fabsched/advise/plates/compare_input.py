"""What a comparison of the ways to make a part is given."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fabsched.advise.plates.joinery import Joinery, Press
from fabsched.model.estimates import Estimate
from fabsched.model.project import Part, Project
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class PartNames:
    """What takes the place of a part is called so in the project; `{part}` and `{number}` are filled in.

    Attributes:
        plate: of a plate.
        piece: of a piece.
        clean: of cleaning the plates.
        fit: of putting everything together.
    """

    plate: str = "{part}, plate {number}"
    piece: str = "{part}, piece {number}"
    clean: str = "{part}: peel and clean the plates"
    fit: str = "{part}: fit plates and pieces together"


ENGLISH = PartNames()
"""What they are called where nobody says otherwise."""


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
        names: what plates, pieces and works are called.
    """

    project: Project
    shop: Shop
    estimates: Mapping[str, Mapping[str, Estimate]]
    part: Part
    mesh: Mesh
    joinery: Joinery = field(default_factory=Joinery)
    press: Press = field(default_factory=Press)
    also: tuple[int, ...] = ()
    names: PartNames = field(default_factory=PartNames)
