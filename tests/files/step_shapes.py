"""Small solids as STEP text (ISO 10303-21, application protocol 214), written by hand.

Blocks with round holes through them, alone or placed several times in an assembly.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

Point = tuple[float, float, float]
UNITS = {
    "mm": "(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))",
    "m": "(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.))",
}
"""Length units of the SI."""
HEAD = """ISO-10303-21;
HEADER;
FILE_DESCRIPTION((''),'2;1');
FILE_NAME('','2027-01-01T00:00:00',(''),(''),'','','');
FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));
ENDSEC;
DATA;
"""
TAIL = "ENDSEC;\nEND-ISO-10303-21;\n"
SIDES: tuple[tuple[tuple[int, ...], Point], ...] = (
    ((0, 3, 2, 1), (0, 0, -1)),
    ((4, 5, 6, 7), (0, 0, 1)),
    ((0, 1, 5, 4), (0, -1, 0)),
    ((2, 3, 7, 6), (0, 1, 0)),
    ((1, 2, 6, 5), (1, 0, 0)),
    ((3, 0, 4, 7), (-1, 0, 0)),
)
"""Corners of the sides of a block, counter-clockwise from outside, and where they look."""
CORNERS: tuple[Point, ...] = (
    (0, 0, 0),
    (1, 0, 0),
    (1, 1, 0),
    (0, 1, 0),
    (0, 0, 1),
    (1, 0, 1),
    (1, 1, 1),
    (0, 1, 1),
)


def scaled(place: Point, size: Point) -> Point:
    """A corner of the unit cube on a block."""
    return place[0] * size[0], place[1] * size[1], place[2] * size[2]


@dataclass(frozen=True)
class Block:
    """A block from the origin with round holes along z, given by x, y and radius."""

    name: str
    size: Point
    holes: tuple[Point, ...] = ()

    @property
    def volume(self) -> float:
        """Closed form, in cubes of its unit."""
        x, y, z = self.size
        return x * y * z - sum(math.pi * r * r * z for _, _, r in self.holes)


@dataclass
class Writer:
    """Numbers entities in the order in which they are added."""

    lines: list[str] = field(default_factory=list)

    def add(self, text: str) -> str:
        """Add an entity and return its number as it is referred to."""
        self.lines.append(f"#{len(self.lines) + 1}={text};\n")
        return f"#{len(self.lines)}"

    def point(self, place: Point) -> str:
        """A point."""
        return self.add(f"CARTESIAN_POINT('',({','.join(f'{v:.9f}' for v in place)}))")

    def direction(self, way: Point) -> str:
        """A direction."""
        return self.add(f"DIRECTION('',({','.join(f'{v:.9f}' for v in way)}))")

    def axes(self, place: Point, z: Point = (0, 0, 1)) -> str:
        """Axes at a place."""
        x: Point = (0, 1, 0) if z[0] else (1, 0, 0)
        at, up, along = self.point(place), self.direction(z), self.direction(x)
        return self.add(f"AXIS2_PLACEMENT_3D('',{at},{up},{along})")

    def vertex(self, place: Point) -> str:
        """A vertex."""
        return self.add(f"VERTEX_POINT('',{self.point(place)})")

    def line(self, start: str, end: str, origin: Point, way: Point) -> str:
        """A straight edge."""
        vector = self.add(f"VECTOR('',{self.direction(way)},1.)")
        line = self.add(f"LINE('',{self.point(origin)},{vector})")
        return self.add(f"EDGE_CURVE('',{start},{end},{line},.T.)")

    def circle(self, vertex: str, centre: Point, radius: float) -> str:
        """A round edge from a vertex to itself."""
        circle = self.add(f"CIRCLE('',{self.axes(centre)},{radius:.9f})")
        return self.add(f"EDGE_CURVE('',{vertex},{vertex},{circle},.T.)")

    def bound(self, edges: list[tuple[str, str]], kind: str = "FACE_OUTER_BOUND") -> str:
        """A border of a face: edges with T along and F against them."""
        turned = [self.add(f"ORIENTED_EDGE('',*,*,{edge},.{way}.)") for edge, way in edges]
        loop = self.add(f"EDGE_LOOP('',({','.join(turned)}))")
        return self.add(f"{kind}('',{loop},.T.)")

    def face(self, bounds: list[str], surface: str, sense: str = "T") -> str:
        """A face."""
        return self.add(f"ADVANCED_FACE('',({','.join(bounds)}),{surface},.{sense}.)")

    def solid(self, block: Block) -> str:
        """A block as a solid."""
        places = [scaled(corner, block.size) for corner in CORNERS]
        vertices = [self.vertex(place) for place in places]
        holes = [self._hole(hole, block.size[2]) for hole in block.holes]
        edges: dict[tuple[int, int], str] = {}
        faces = [face for *_, face in holes]
        for number, (corners, look) in enumerate(SIDES):
            bounds = [self.bound(list(self._border(corners, places, vertices, edges)))]
            if number < 2:
                turn = "TF"[number]
                bounds += [self.bound([(hole[number], turn)], "FACE_BOUND") for hole in holes]
            plane = self.add(f"PLANE('',{self.axes(places[corners[0]], look)})")
            faces.append(self.face(bounds, plane))
        shell = self.add(f"CLOSED_SHELL('',({','.join(faces)}))")
        return self.add(f"MANIFOLD_SOLID_BREP('{block.name}',{shell})")

    def _border(
        self,
        corners: tuple[int, ...],
        places: list[Point],
        vertices: list[str],
        edges: dict[tuple[int, int], str],
    ) -> Iterator[tuple[str, str]]:
        """Edges around a side; those of a neighbour are used again, the other way round."""
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
            if (b, a) in edges:
                yield edges[b, a], "F"
                continue
            x, y, z = (q - p for p, q in zip(CORNERS[a], CORNERS[b], strict=True))
            edges[a, b] = self.line(vertices[a], vertices[b], places[a], (x, y, z))
            yield edges[a, b], "T"

    def _hole(self, hole: Point, height: float) -> tuple[str, str, str]:
        """Lower and upper edge of a hole, and its face."""
        x, y, radius = hole
        low, high = self.vertex((x + radius, y, 0)), self.vertex((x + radius, y, height))
        below = self.circle(low, (x, y, 0), radius)
        above = self.circle(high, (x, y, height), radius)
        seam = self.line(low, high, (x + radius, y, 0), (0, 0, 1))
        border = self.bound([(below, "F"), (seam, "T"), (above, "T"), (seam, "F")])
        surface = self.add(f"CYLINDRICAL_SURFACE('',{self.axes((x, y, 0))},{radius:.9f})")
        return below, above, self.face([border], surface, "F")

    def context(self, unit: str) -> str:
        """The units everything is measured in."""
        if unit == "inch":
            mm = self.add(UNITS["mm"])
            measure = self.add(f"LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),{mm})")
            exponents = self.add("DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)")
            kind = f"CONVERSION_BASED_UNIT('INCH',{measure}) LENGTH_UNIT() NAMED_UNIT({exponents})"
            length = self.add(f"({kind})")
        else:
            length = self.add(UNITS[unit])
        angle = self.add("(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))")
        solid = self.add("(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())")
        fine = self.add(
            f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-7),{length},'distance','')"
        )
        return self.add(
            f"(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({fine})) "
            f"GLOBAL_UNIT_ASSIGNED_CONTEXT(({length},{angle},{solid})) "
            "REPRESENTATION_CONTEXT('',''))"
        )

    def product(self, name: str, representation: str) -> str:
        """A product with its shape; returns its definition."""
        context = self.add("APPLICATION_CONTEXT('automotive design')")
        mechanical = self.add(f"PRODUCT_CONTEXT('',{context},'mechanical')")
        product = self.add(f"PRODUCT('{name}','{name}','',({mechanical}))")
        formation = self.add(f"PRODUCT_DEFINITION_FORMATION('','',{product})")
        design = self.add(f"PRODUCT_DEFINITION_CONTEXT('part definition',{context},'design')")
        definition = self.add(f"PRODUCT_DEFINITION('design','',{formation},{design})")
        shape = self.add(f"PRODUCT_DEFINITION_SHAPE('','',{definition})")
        self.add(f"SHAPE_DEFINITION_REPRESENTATION({shape},{representation})")
        return definition

    def text(self) -> str:
        """The file."""
        return HEAD + "".join(self.lines) + TAIL


def block_step(*blocks: Block, unit: str = "mm") -> str:
    """Blocks, each a product of its own."""
    writer = Writer()
    context = writer.context(unit)
    for block in blocks:
        axes, solid = writer.axes((0, 0, 0)), writer.solid(block)
        shape = f"ADVANCED_BREP_SHAPE_REPRESENTATION('',({axes},{solid}),{context})"
        writer.product(block.name, writer.add(shape))
    return writer.text()


def assembly_step(block: Block, places: list[Point], unit: str = "mm") -> str:
    """One block placed several times."""
    writer = Writer()
    context = writer.context(unit)
    origin, solid = writer.axes((0, 0, 0)), writer.solid(block)
    part = writer.add(f"ADVANCED_BREP_SHAPE_REPRESENTATION('',({origin},{solid}),{context})")
    inner = writer.product(block.name, part)
    frames = [writer.axes(place) for place in places]
    whole = writer.add(f"SHAPE_REPRESENTATION('',({origin},{','.join(frames)}),{context})")
    outer = writer.product("whole", whole)
    for number, frame in enumerate(frames):
        use = writer.add(
            f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{number}','copy {number}','',{outer},{inner},$)"
        )
        shape = writer.add(f"PRODUCT_DEFINITION_SHAPE('','',{use})")
        move = writer.add(f"ITEM_DEFINED_TRANSFORMATION('','',{origin},{frame})")
        relation = writer.add(
            f"(REPRESENTATION_RELATIONSHIP('','',{part},{whole}) "
            f"REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION({move}) "
            "SHAPE_REPRESENTATION_RELATIONSHIP())"
        )
        writer.add(f"CONTEXT_DEPENDENT_SHAPE_REPRESENTATION({relation},{shape})")
    return writer.text()
