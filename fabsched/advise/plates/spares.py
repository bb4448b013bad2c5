"""Spare bosses where a plate gives too much: one leaves the screw out where it is not needed.

A spare boss is cheap where the plate stands on several bosses of one height already: one more of the
same height, printed beside them, and a hole in the plate.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from manifold3d import Manifold

from fabsched.advise.plates.contact_records import Join, disc
from fabsched.advise.plates.frames import area_of, mesh_of, prism, rings_of, solid_of
from fabsched.advise.plates.joinery import boss_radius_mm, screw_named
from fabsched.advise.plates.splitting import Joint, Piece, Plate, Split, drawing_of
from fabsched.model.shapes import Points2

if TYPE_CHECKING:  # brings in the equations' solver
    from fabsched.advise.plates.bending import Give

LEGS = 3
"""So many screwed pieces of one height make a plate stand (three points hold a plane)."""
SAME_MM = 0.05
"""Heights that differ by less are one."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Spare:
    """A boss that the part has not.

    Attributes:
        plate: number of the plate it is screwed to.
        side: +1 if it stands along the plate's normal, -1 if against it.
        spot: its middle, in the slab's frame.
        height_mm: as high as the others.
    """

    plate: int
    side: int
    spot: Points2
    height_mm: float


def spares_for(split: Split, gives: Sequence["Give"]) -> tuple[Spare, ...]:
    """Spare bosses at the places where they help most, as far as there is room for them.

    Args:
        split: the part taken apart.
        gives: how far its plates give, with places for bosses.
    """
    found: list[Spare] = []
    bodies = [solid_of(piece.mesh, "piece") for piece in split.pieces]
    for give in gives:
        leg = _leg(split, give.plate)
        if leg is None:
            continue
        low = np.concatenate(split.plates[give.plate].rings).min(axis=0)
        for boss in give.bosses:
            spare = Spare(plate=give.plate, side=leg[0], spot=low + boss.at_mm, height_mm=leg[1])
            body = _body(spare, split)
            if _has_room(spare, split) and not any(
                (body ^ other).volume() > 0.0 for other in bodies
            ):
                found.append(spare)
                bodies.append(body)
    return tuple(found)


def _leg(split: Split, plate: int) -> tuple[int, float] | None:
    """Side and height on which a plate stands, if it does."""
    heights: Counter[tuple[int, int]] = Counter()
    for joint in split.joints:
        if joint.plate == plate and joint.join is Join.SCREW:
            height = _height_mm(split, joint)
            heights[joint.side, round(height / SAME_MM)] += 1
    if not heights:
        return None
    (side, steps), count = heights.most_common(1)[0]
    return (side, steps * SAME_MM) if count >= LEGS else None


def _height_mm(split: Split, joint: Joint) -> float:
    """How far a piece stands off its plate."""
    slab = split.plates[joint.plate].slab
    away = split.pieces[joint.piece].mesh.vertices @ slab.frame.axes[2]
    return float(away.max() - slab.high_mm if joint.side > 0 else slab.low_mm - away.min())


def _has_room(spare: Spare, split: Split) -> bool:
    """Whether the plate is whole around a spare boss, and its head meets nothing on the far side."""
    screw = screw_named(split.joinery.screw)
    reach = max(boss_radius_mm(split.joinery), 0.5 * screw.head_mm)
    foot = disc(spare.spot, reach)
    if (foot - area_of(split.plates[spare.plate].rings)).area() > 1e-3:
        return False
    touching = (area_of(j.rings) for j in split.joints if j.plate == spare.plate)
    return all((foot ^ area).is_empty() for area in touching)


def _body(spare: Spare, split: Split) -> Manifold:
    """A spare boss with its pilot hole, as a body of the part."""
    slab = split.plates[spare.plate].slab
    pilot = disc(spare.spot, 0.5 * screw_named(split.joinery.screw).pilot_mm)
    ring = disc(spare.spot, boss_radius_mm(split.joinery)) - pilot
    face = slab.high_mm if spare.side > 0 else slab.low_mm
    end = face + spare.side * spare.height_mm
    return slab.frame.raised(prism(ring, min(face, end), max(face, end)))


def with_spares(split: Split, spares: Sequence[Spare]) -> Split:
    """A part taken apart, with spare bosses and their holes.

    Args:
        split: the part taken apart.
        spares: of `spares_for`.
    """
    if not spares:
        return split
    bodies = [_body(spare, split) for spare in spares]
    pieces = [_piece(spare, body, split) for spare, body in zip(spares, bodies, strict=True)]
    plates = tuple(
        _drilled(plate, [s.spot for s in spares if s.plate == number], split)
        for number, plate in enumerate(split.plates)
    )
    joints = [
        _joint(spare, len(split.pieces) + number, split) for number, spare in enumerate(spares)
    ]
    added = sum(piece.volume_mm3 for piece in pieces)
    cut = sum(p.volume_mm3 for p in split.plates) - sum(p.volume_mm3 for p in plates)
    balance = replace(
        split.balance,
        plates=split.balance.plates - cut,
        pieces=split.balance.pieces + added,
        screw_holes=split.balance.screw_holes + cut,
        added=split.balance.added + added,
    )
    return replace(
        split,
        plates=plates,
        pieces=(*split.pieces, *pieces),
        joints=(*split.joints, *joints),
        balance=balance,
    )


def _piece(spare: Spare, body: Manifold, split: Split) -> Piece:
    x, y, z = (float(v) for v in -spare.side * split.plates[spare.plate].slab.frame.axes[2])
    return Piece(mesh=mesh_of(body), volume_mm3=body.volume(), side=(x, y, z))


def _joint(spare: Spare, piece: int, split: Split) -> Joint:
    return Joint(
        plate=spare.plate,
        piece=piece,
        side=spare.side,
        join=Join.SCREW,
        rings=rings_of(disc(spare.spot, boss_radius_mm(split.joinery))),
        spots=(spare.spot,),
        tabs=(),
    )


def _drilled(plate: Plate, spots: Sequence[Points2], split: Split) -> Plate:
    """A plate with further screw holes."""
    if not spots:
        return plate
    area = area_of(plate.rings)
    for spot in spots:
        area -= disc(spot, 0.5 * screw_named(split.joinery.screw).clear_mm)
    rings = rings_of(area)
    clean_mm2 = area_of(rings).area()
    return replace(
        plate,
        rings=rings,
        screws=(*plate.screws, *spots),
        drawing=drawing_of(rings, plate.scored),
        area_mm2=clean_mm2,
        volume_mm3=clean_mm2 * plate.slab.thick_mm,
    )
