"""Critical dimensions in words and figures."""

from math import dist

from fabsched.desktop.dimensions.overlay import Drawn
from fabsched.model.features import Dimension
from fabsched.model.project import Fit
from fabsched.session.fit_outcomes import is_right, size_text
from fabsched.session.wording import phrase


def measured_drawn(found: Dimension) -> Drawn:
    """What is being measured, to be drawn."""
    value = phrase("size", value=round(dist(*found.ends_mm), 3))
    axes = ("x", "y", "z")
    return Drawn(
        text=f"\u2300 {value}" if found.is_diameter else value,
        at_mm=found.at_mm,
        size_mm=found.size_mm,
        ends_mm=found.ends_mm,
        axis=axes.index(found.axis) if found.is_diameter and found.kind != "other" else None,
        strong=True,
    )


def shown(fit: Fit) -> str:
    """What stands at a dimension on the model."""
    return fit.name if fit.wanted_mm is None else size_text(fit)


def came_out(fit: Fit) -> str:
    """The last measure, with a mark for whether it is good where that can be told."""
    if fit.measured_mm is None:
        return ""
    mark = {True: "\u2713 ", False: "\u2717 ", None: ""}[is_right(fit)]
    return mark + phrase("size", value=round(fit.measured_mm, 3))
