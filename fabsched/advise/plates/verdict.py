"""What the comparison comes to, as a code with facts for one sentence."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from math import ceil, sqrt

from fabsched.advise.plates.variants import Variant
from fabsched.model.errors import Fact
from fabsched.model.units import HOUR_S

SURE = 2.0
"""Standard errors by which chances must differ to count."""
LEAST = 0.01
"""Chances that differ by less are alike to whoever has to choose (own choice)."""


class Says(StrEnum):
    """What the comparison comes to. The wording table's `[verdict]` has a template for each."""

    NO_PLATES = "no-plates"
    NOT_CLOSED = "not-closed"
    NOT_SEEN = "not-seen"
    SURER = "surer"
    SAVES = "saves"
    WHOLE_SURER = "whole-surer"
    WHOLE_PLAIN = "whole-plain"
    ONLY = "only"
    NEITHER = "neither"


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What the comparison comes to.

    Attributes:
        code: what speaks for the best variant.
        best: number of the variant.
        facts: values for the template of `code`.
    """

    code: Says
    best: int
    facts: Mapping[str, Fact] = field(default_factory=dict)


def verdict_of(variants: Sequence[Variant], alone: Says = Says.NO_PLATES) -> Verdict:
    """Judge variants; the first is the part printed whole.

    The chance of being in time decides; where it does not differ, the hours a failure costs at the
    90 % point; then the cost. A way whose glue would not hold is the best only where there is no other.

    Args:
        variants: the ways.
        alone: why there is no other, should there be but one.
    """
    usable = [n for n, variant in enumerate(variants) if variant.tally]
    if len(variants) == 1:
        return Verdict(code=alone, best=0, facts=_facts(variants[0], variants[0]))
    if not usable:
        return Verdict(code=Says.NEITHER, best=0)
    firm = [n for n in usable if all(seam.holds for seam in variants[n].seams)]
    best = best_of(variants, firm or usable)
    if len(usable) == 1 or 0 not in usable:
        return Verdict(code=Says.ONLY, best=best, facts=_facts(variants[best], variants[best]))
    other = max((n for n in usable if n != best), key=lambda n: _key(variants[n]))
    against = variants[0] if best else variants[other]
    return Verdict(
        code=_code(variants[best], against), best=best, facts=_facts(variants[best], against)
    )


def best_of(variants: Sequence[Variant], usable: Sequence[int]) -> int:
    """The variant whose chance none beats, and which risks and costs least among those.

    Args:
        variants: the ways.
        usable: numbers of those that can be made, one at least.
    """
    top = max(variants[n].on_time for n in usable)
    alike = [n for n in usable if top - variants[n].on_time <= _margin(variants[n])]
    return max(alike, key=lambda n: (_key(variants[n])[1:], -n))


def _margin(variant: Variant) -> float:
    return max(LEAST, SURE * sqrt(2.0) * variant.standard_error)


def _key(variant: Variant) -> tuple[float, float, float]:
    """Larger is better: chance, hours not lost, money not spent."""
    lost = variant.exposure.p90_s if variant.exposure else 0.0
    cost = (variant.tally.cost or 0.0) if variant.tally else 0.0
    return variant.on_time, -round(lost / 60.0), -cost


def _code(best: Variant, against: Variant) -> Says:
    surer = best.on_time - against.on_time > _margin(against)
    if best.pick:
        return Says.SURER if surer else Says.SAVES
    return Says.WHOLE_SURER if surer else Says.WHOLE_PLAIN


def _facts(best: Variant, against: Variant) -> dict[str, Fact]:
    """What the sentences tell."""
    lost, other = (v.exposure.p90_s if v.exposure else 0.0 for v in (best, against))
    plates = best.pick or against.pick
    return {
        "plates": ", ".join(str(number + 1) for number in plates),
        "chance": best.on_time,
        "other": against.on_time,
        "lost": _hours_above(lost),
        "other_lost": _hours_above(other),
    }


def _hours_above(lost_s: float) -> float:
    """Tenths of an hour that are no less, and one at the least: nothing costs less than 0 h.

    >>> _hours_above(40.0), _hours_above(3600.0), _hours_above(3601.0)
    (0.1, 1.0, 1.1)
    """
    return max(1, ceil(10.0 * lost_s / HOUR_S)) / 10.0
