"""What a critical dimension came out as: whether that is good, what to draw otherwise, what to log."""

from datetime import datetime

from fabsched.model.features import Dimension, Feature, Form
from fabsched.model.project import Fit, FitKind, Gate, Part, Project
from fabsched.session.sayings import Saying, Verb
from fabsched.session.wording import phrase, pointed

PLAY_MM = (-0.1, 0.0, 0.1, 0.2, 0.3)
"""Play more than drawn of the copies on a coupon: those of `advise.coupons`, which is heavy."""
DIGITS = 2
"""Lengths are shown to so many digits after the point."""


def check_of(project: Project, part: Part, fit: Fit) -> Gate | None:
    """The gate a measure decides: that of the dimension's coupon, else the one that would find it.

    Without a gate of its own that is the first that redoes the part.
    """
    own = [gate for gate in project.gates if tries(gate, part, fit)]
    named = [gate for gate in project.gates if fit.gate and gate.id == fit.gate]
    others = [gate for gate in project.gates if part.id in gate.redo and not gate.eases]
    return next(iter((*own, *named, *others)), None)


def tries(gate: Gate, part: Part, fit: Fit) -> bool:
    """Whether a gate is the trying of the dimension's coupon, and not of the part itself."""
    return gate.id.startswith(f"{part.id}-{fit.id}-check")


def is_right(fit: Fit) -> bool | None:
    """Whether the last measure is within its tolerance; None where that cannot be told."""
    if fit.measured_mm is None or fit.wanted_mm is None or fit.tolerance_mm is None:
        return None
    return abs(fit.measured_mm - fit.wanted_mm) <= fit.tolerance_mm + 1e-9


def outcome_text(fit: Fit) -> str:
    """What the last measure and trial come to, and what to draw otherwise; empty if there is none."""
    return " ".join(text for text in (_measure_text(fit), _trial_text(fit)) if text)


def _measure_text(fit: Fit) -> str:
    if fit.measured_mm is None or fit.wanted_mm is None:
        return ""
    by = round(fit.measured_mm - fit.wanted_mm, DIGITS)
    value, right = round(fit.measured_mm, DIGITS), is_right(fit)
    if right or by == 0:
        return phrase("outcome-right" if right else "outcome-same", value=value)
    code = "outcome-large" if by > 0 else "outcome-small"
    return phrase(code if right is False else f"{code}-open", value=value, by=abs(by))


def _trial_text(fit: Fit) -> str:
    if fit.fitting_mm is None:
        return ""
    by = round(abs(fit.fitting_mm), DIGITS)
    if by == 0:
        return phrase("trial-drawn")
    wider = (fit.fitting_mm > 0) is not (fit.kind is FitKind.PEG)
    return phrase("trial-wider" if wider else "trial-narrower", by=by)


def saying_of(gate: Gate, fit: Fit, now: datetime, *, good: bool) -> Saying:
    """What is told to the log: the gate has passed, or found a fault."""
    now_s = int(now.timestamp())
    why = (
        ""
        if fit.measured_mm is None
        else phrase("measured-why", what=fit.name, value=fit.measured_mm)
    )
    verb = Verb.FINISH if good else Verb.FOUND
    return Saying(verb=verb, block=gate.id, at_s=now_s, now_s=now_s, why=why)


def size_text(fit: Fit) -> str:
    """What is wanted, with its tolerance."""
    if fit.wanted_mm is None:
        return phrase("size-open")
    wanted = f"{fit.wanted_mm:.{DIGITS}f}"
    if fit.tolerance_mm is None:
        return phrase("size", value=pointed(wanted))
    return phrase(
        "size-tolerance", value=pointed(wanted), by=pointed(f"{fit.tolerance_mm:.{DIGITS}f}")
    )


def feature_text(feature: Feature) -> str:
    """One feature in a list."""
    x, y, z = (round(value, 1) + 0.0 for value in feature.at_mm)
    if feature.form is Form.FACE:
        way = _way(feature)
        code = "feature-face" if way else "feature-slanted"
        return phrase(code, x=x, y=y, z=z, way=way)
    size, deep = round(feature.diameter_mm, DIGITS), round(feature.length_mm, 1)
    return phrase(f"feature-{feature.form}", size=size, deep=deep, x=x, y=y, z=z)


def _way(feature: Feature) -> str:
    """Along which axis a face looks; empty where it is slanted."""
    place = max(range(3), key=lambda i: abs(feature.axis[i]))
    sign = "+" if feature.axis[place] > 0 else "\u2212"
    return f"{sign}{'xyz'[place]}" if abs(feature.axis[place]) > 0.996 else ""


def dimension_name(found: Dimension, length_mm: float) -> str:
    """A name for what was measured, to begin with."""
    what = "distance" if found.kind is FitKind.OTHER and not found.is_diameter else str(found.kind)
    what = "diameter" if found.kind is FitKind.OTHER and found.is_diameter else what
    what = "width" if found.kind is FitKind.PEG and not found.is_diameter else what
    return phrase(f"dimension-{what}", size=round(length_mm, DIGITS))
