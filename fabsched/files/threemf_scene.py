"""All objects of a 3MF package, wherever they are stored, under keys of their own."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from fabsched.files.threemf_model import Body, Matrix, Model, Reference, parse_model
from fabsched.files.threemf_package import KIND, Package, part_key
from fabsched.model.errors import Fault, InputError

PLATE = "plate"
"""Key under which what lies on the plate is listed; keys of objects hold a `#`."""
Placed = tuple[str, Matrix]
"""Key of an object, and where it is put."""


@dataclass(slots=True)
class Scene:
    """The objects of a package.

    Attributes:
        unit: of all numbers.
        bodies: the objects.
        placed: what each of them is put together of, and what lies on the plate.
    """

    unit: str = ""
    bodies: dict[str, Body] = field(default_factory=dict)
    placed: dict[str, tuple[Placed, ...]] = field(default_factory=dict)

    def holds(self, key: str) -> tuple[int, Mapping[str, int]]:
        """How often an object holds each other one, triangles left out."""
        return 0, self.contents(key)[1]

    def contents(self, key: str) -> tuple[int, Mapping[str, int]]:
        """How many triangles an object has itself, and how often it holds each other one."""
        own = len(self.bodies[key].faces) if key in self.bodies else 0
        return own, Counter(child for child, _ in self.placed[key])


def gathered(package: Package, where: str) -> Scene:
    """Read the model of a package and all parts it refers to.

    Raises:
        InputError: a part is damaged or missing, an object is missing, or parts use unlike units.
    """
    scene = Scene()
    seen: set[str] = set()
    wanted = [package.model_name()]
    while wanted:
        name = wanted.pop()
        if part_key(name) not in seen:
            seen.add(part_key(name))
            wanted += _take_in(scene, parse_model(package, name), part_key(name), where)
    _check_references(scene, where)
    return scene


def _take_in(scene: Scene, model: Model, part: str, where: str) -> list[str]:
    """Add the objects of a part; what the first one places is what lies on the plate.

    Returns:
        The parts it refers to.
    """
    if PLATE not in scene.placed:
        scene.unit = model.unit
        scene.placed[PLATE] = _placed(model.items, part)
    if model.unit != scene.unit:
        why = f"units {scene.unit} and {model.unit}"
        raise InputError(Fault.FILE_READER_FAILED, where, kind=KIND, why=why)
    references = list(model.items)
    for object_id, body in model.bodies.items():
        scene.bodies[f"{part}#{object_id}"] = body
        scene.placed[f"{part}#{object_id}"] = _placed(body.components, part)
        references += body.components
    return [reference.part for reference in references if reference.part]


def _placed(references: Iterable[Reference], part: str) -> tuple[Placed, ...]:
    return tuple(
        (f"{part_key(reference.part or part)}#{reference.object_id}", reference.matrix)
        for reference in references
    )


def _check_references(scene: Scene, where: str) -> None:
    for children in scene.placed.values():
        for key, _ in children:
            if key not in scene.bodies:
                object_id, count = key.split("#", 1)[1], len(scene.bodies)
                raise InputError(
                    Fault.BAD_INDEX, where, what="object", index=object_id, count=count
                )
