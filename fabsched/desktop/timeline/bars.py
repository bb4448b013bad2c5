"""The horizontal scroll bar of a timeline in numbers. No Qt here."""

from typing import NamedTuple

from fabsched.desktop.timeline.geometry import Scale

BAR_STEPS = 10_000
"""Resolution of the scroll bar."""
MOVE_SHARE = 0.1
"""Share of the view that one notch of the wheel or one step of the bar moves it (our own choice)."""


class Bar(NamedTuple):
    """How a scroll bar is set.

    Attributes:
        steps: the most it can be scrolled; 0 where everything is in view.
        page: how much of that is one view.
        step: how much of that one click moves.
        value: where it stands.
    """

    steps: int
    page: int
    step: int
    value: int


def bar_of(scale: Scale, first_s: float, last_s: float) -> Bar:
    """The bar of a view on the time from the first to the last moment."""
    hidden_s = _hidden_s(scale, first_s, last_s)
    share = min(scale.span_s / max(1.0, last_s - first_s), 0.999)
    page = max(1, round(BAR_STEPS * share / (1 - share)))
    return Bar(
        steps=BAR_STEPS if hidden_s > 1 else 0,
        page=page,
        step=max(1, round(page * MOVE_SHARE)),
        value=round(BAR_STEPS * (scale.start_s - first_s) / max(1.0, hidden_s)),
    )


def start_at(value: int, scale: Scale, first_s: float, last_s: float) -> float:
    """First moment in view where the bar stands at a value."""
    return first_s + _hidden_s(scale, first_s, last_s) * value / BAR_STEPS


def _hidden_s(scale: Scale, first_s: float, last_s: float) -> float:
    """How much is out of view."""
    return max(0.0, last_s - first_s - scale.span_s)
