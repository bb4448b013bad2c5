"""What `compare` says below its table: joints, deflections, glue, and why something cannot be made."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from fabsched.advise.plates.comparing import Comparison
from fabsched.advise.plates.joint_list import joint_rows, screws_of
from fabsched.advise.plates.parting import parted_by
from fabsched.advise.plates.variants import Variant
from fabsched.session.noticed import say
from fabsched.session.wording import (
    adopting,
    caution,
    figure,
    glued,
    loose,
    numbers_text,
    phrase,
    pointed,
    sides_text,
)

if TYPE_CHECKING:  # brings in the equations' solver
    from fabsched.advise.plates.bending import Give
    from fabsched.advise.plates.seams import Seam

LEAST_TOLD_MM3 = 0.05
"""Smaller pieces that are left out are rounding."""


def name_of(pick: tuple[int, ...]) -> str:
    """What a way is called.

    >>> name_of(()), name_of((0,)), name_of((0, 2))
    ('whole', 'plate 1', 'plates 1, 3')
    """
    if not pick:
        return phrase("variant-whole")
    numbers = numbers_text(number + 1 for number in pick)
    return phrase("variant-plate" if len(pick) == 1 else "variant-plates", numbers=numbers)


def remarks(comparison: Comparison, force_n: float) -> Iterator[str]:
    """Screws, deflections and glue of the way taken apart, and why others cannot be made.

    Args:
        comparison: all ways.
        force_n: of the press plates are looked at under.
    """
    for variant in comparison.variants:
        yield from _of_each(variant)
    yield from _changed(comparison)
    shown = comparison.parted
    if shown.split and shown.made and (screws := screws_of(shown.split, shown.made.copies)):
        told = ", ".join(f"{count} \u00d7 {pointed(screw)}" for screw, count in screws)
        yield phrase("joints-line", screws=told)
    yield from _glued(shown)
    for give in shown.gives:
        yield _gives(shown, give, force_n)
    yield from _loose(comparison)
    if shown.gives:
        yield caution("deflection")
    seams = list(_seams(comparison))
    yield from seams
    if seams:
        yield caution("glue")


def _of_each(variant: Variant) -> Iterator[str]:
    name = name_of(variant.pick)
    if variant.hindered is not None:
        yield f"{name}: {say(variant.hindered)}"
    if variant.split and variant.split.balance.crumbs > LEAST_TOLD_MM3:
        lost = round(variant.split.balance.crumbs, 1)
        yield f"{name}: {phrase('crumbs-line', volume=lost)}"
    if variant.split:
        for plate in parted_by(variant.split):
            yield f"{name}: {phrase('parted-line', plate=variant.pick[plate] + 1)}"


def _changed(comparison: Comparison) -> Iterator[str]:
    """What is changed for each plate that can be adopted, as it is where that plate alone is cut."""
    told: set[tuple[int, str]] = set()
    for variant in sorted(comparison.variants, key=lambda each: len(each.pick)):
        for number, change in variant.changes:
            if (number, change.reason) not in told:
                told.add((number, change.reason))
                yield f"{name_of((number,))}: {adopting(change.reason, change.facts)}"


def _glued(variant: Variant) -> Iterator[str]:
    """Why some pieces are only glued, each reason once."""
    rows = joint_rows(variant.split) if variant.split else ()
    for why in sorted({row.why for row in rows if row.why}):
        pieces = {row.piece for row in rows if row.why == why}
        code = "glued-one" if len(pieces) == 1 else "glued-line"
        yield phrase(code, pieces=numbers_text(pieces), why=glued(why))


def _loose(comparison: Comparison) -> Iterator[str]:
    """Of which plates no deflection is told, each reason once with the ways it holds for."""
    found: dict[tuple[int, str], list[str]] = {}
    for variant in comparison.variants:
        for each in variant.untold:
            key = variant.pick[each.plate] + 1, str(each.why)
            found.setdefault(key, []).append(name_of(variant.pick))
    for (plate, why), names in sorted(found.items()):
        yield phrase("loose-line", plate=plate, ways="; ".join(names), why=loose(why))


def _seams(comparison: Comparison) -> Iterator[str]:
    """What the glue of the way shown bears, and of others what is too weak, each plate once."""
    told: set[int] = set()
    for variant in (comparison.parted, *comparison.variants):
        for seam in variant.seams:
            plate = variant.pick[seam.plate]
            if plate not in told and (variant is comparison.parted or not seam.holds):
                told.add(plate)
                yield _seam(variant, seam)


def _seam(variant: Variant, seam: "Seam") -> str:
    return phrase(
        "glue-line" if seam.holds else "glue-weak",
        way=name_of(variant.pick),
        plate=variant.pick[seam.plate] + 1,
        area=round(seam.area_mm2),
        stress=figure(seam.stress_mpa, 2),
        allowed=seam.allowed_mpa,
    )


def _gives(variant: Variant, give: "Give", force_n: float) -> str:
    """How far a plate gives, and where a boss would help."""
    text = phrase(
        "gives-line",
        way=name_of(variant.pick),
        plate=variant.pick[give.plate] + 1,
        sag=figure(give.worst.sag_mm, 2),
        force=force_n,
    )
    if give.loaded:
        text = f"{text}, {phrase('gives-loaded', sag=figure(give.loaded.sag_mm, 2))}"
    if not give.bosses:
        return f"{text}."
    places = ", ".join(sides_text(boss.at_mm, 0) for boss in give.bosses)
    more = phrase("bosses-line", places=places, sag=figure(give.bosses[-1].sag_mm, 2))
    return f"{text}; {more}."
