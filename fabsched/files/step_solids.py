"""The solids of a STEP file, by a library of others; runs in a process of its own.

Structure is checked first, since the library passes over what is missing: a file that is cut off,
or an entity that is referred to but not there, would leave a face or a solid out.
"""

import re
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fabsched.files.glb import Glb, NotGlb, Solid
from fabsched.files.mesh_text import line_malformed
from fabsched.files.source import read_source
from fabsched.files.step_holes import hole_sizes, listed
from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.findings import Finding, Remark

KIND = "STEP"
MOST_MB = 200
"""Larger files are refused."""
FLAT_MM = 0.05
TURN_RAD = 0.2
"""How far triangles may lie beside a curved face, and turn against each other: a sphere loses
0.3 % of its volume, at a few tenths of a second for a plate with many holes (measured)."""
START, END = b"ISO-10303-21;", b"END-ISO-10303-21;"
"""How a file begins and ends (ISO 10303-21, section 5.3)."""
NO_DATA = re.compile(rb"'(?:[^']|'')*'|/\*.*?\*/", re.DOTALL)
"""Texts and comments."""
DEFINED = re.compile(rb"#(\d+)\s*=")
USED = re.compile(rb"#(\d+)")
NO_VALUE = re.compile(
    rb"[(,]\s*(?:[+-]?\d[\d.]*(?:[A-DF-Z_a-df-z]|[Ee](?![\d+-]))|[A-Za-z_]\w*\s*[,)])"
)
"""A number with letters in it, or a word that is none of the values there are."""
FACE = re.compile(rb"=\s*(?:ADVANCED_FACE|FACE_SURFACE)\s*\(")
METRE = b".METRE."
"""All units of length go back to the metre; a file without one names none."""
SHOWN = 6
"""Names that are listed."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Triangles:
    """All solids together.

    Attributes:
        points: (n, 3) in metres.
        faces: (m, 3).
        said: analytic faces the file defines.
        read: how many of them have become triangles; fewer may be harmless, as tiny ones vanish.
    """

    points: NDArray[np.float64]
    faces: NDArray[np.int32]
    said: int
    read: int


def read_solids(path: Path, _unit: str | None) -> tuple[Triangles, tuple[Finding, ...]]:
    """Read all solids of a STEP file as triangles.

    Args:
        path: the file.
        _unit: not used: the file names its unit.

    Raises:
        InputError: it is no STEP file, is cut off, refers to what is not there, holds nothing that
            has a surface, or the library is not there.
    """
    where = str(path)
    data = read_source(path, MOST_MB)
    plain = NO_DATA.sub(b"", data)
    check_structure(plain, where)
    solids = _solids(data, where)
    found = [*_unit_finding(plain, where), *_findings(solids, where)]
    return _together(solids, said=len(FACE.findall(plain))), tuple(found)


def check_structure(plain: bytes, where: str) -> None:
    """Refuse a file that is cut off, has words for numbers, or refers to what is not there.

    Args:
        plain: the file without texts and comments.
        where: its name.

    Raises:
        InputError: see above.
    """
    if not plain.lstrip().startswith(START):
        raise InputError(Fault.FILE_NOT_OF_KIND, where, kind=KIND)
    if not plain.rstrip().endswith(END):
        raise InputError(Fault.FILE_NO_END, where, mark=END.decode())
    if wrong := NO_VALUE.search(plain):
        raise line_malformed(plain.count(b"\n", 0, wrong.end()) + 1, plain, where, kind=KIND)
    defined = set(DEFINED.findall(plain))
    missing = set(USED.findall(plain)) - defined
    if missing:
        index = min(int(number) for number in missing)
        raise InputError(Fault.BAD_INDEX, where, what="entity", index=index, count=len(defined))


def _solids(data: bytes, where: str) -> Sequence[Solid]:
    """Have the library triangulate everything."""
    glb = _library(where).to_glb_bytes(
        data,
        tol_linear=FLAT_MM,
        tol_angular=TURN_RAD,
        use_parallel=False,
        include_brep=True,
    )
    try:
        solids = tuple(Glb.of(glb).solids())
    except NotGlb as error:
        why = "no solid in it can be read"
        raise InputError(Fault.FILE_READER_FAILED, where, kind=KIND, why=why) from error
    if not any(len(solid.triangles) for solid in solids):
        raise InputError(Fault.NO_TRIANGLES, where)
    return solids


def _library(where: str) -> Any:
    """The library, without trimesh, which it would tell of itself: that takes four times as long.

    Raises:
        InputError: it is not there for this kind of computer.
    """
    known = sys.modules.get("trimesh")
    sys.modules["trimesh"] = None  # type: ignore[assignment] # this is how an import is refused
    try:
        return import_module("cascadio")
    except ImportError as error:
        raise InputError(Fault.READER_MISSING, where, kind=KIND) from error
    finally:
        del sys.modules["trimesh"]
        if known is not None:
            sys.modules["trimesh"] = known


def _together(solids: Sequence[Solid], said: int) -> Triangles:
    """All solids in one mesh; mirrored ones are turned, so that they face outwards again."""
    starts = np.cumsum([0, *(len(solid.points) for solid in solids)])
    faces = [
        (solid.triangles[:, ::-1] if np.linalg.det(solid.matrix) < 0.0 else solid.triangles) + start
        for solid, start in zip(solids, starts, strict=False)
    ]
    read = {solid.source: len(np.unique(solid.face)) for solid in solids}
    return Triangles(
        points=np.concatenate([solid.points for solid in solids]),
        faces=np.concatenate(faces).astype(np.int32),
        said=said,
        read=sum(read.values()),
    )


def _unit_finding(plain: bytes, where: str) -> Iterator[Finding]:
    """A remark where the file names no unit of length, which the library takes to be mm."""
    if METRE not in plain:
        yield Finding(code=Remark.UNIT_ASSUMED, where=where, facts={"unit": "millimeter"})


def _findings(solids: Sequence[Solid], where: str) -> list[Finding]:
    """The names of several solids, and the round holes."""
    found = []
    if len(solids) > 1:
        names = Counter(solid.name or "?" for solid in solids)
        texts = [f"{count} x {name}" if count > 1 else name for name, count in names.items()]
        listed_names = ", ".join(texts[:SHOWN]) + (", ..." if len(texts) > SHOWN else "")
        named: dict[str, Fact] = {"count": len(solids), "names": listed_names}
        found.append(Finding(code=Remark.SOLIDS_NAMED, where=where, facts=named))
    sizes = hole_sizes(solids)
    if sizes:
        holes: dict[str, Fact] = {"count": sizes.total(), "sizes": listed(sizes)}
        found.append(Finding(code=Remark.ROUND_HOLES, where=where, facts=holes))
    return found
