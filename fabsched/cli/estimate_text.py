"""Estimates as people read them in a terminal."""

from collections.abc import Sequence

from fabsched.cli.tables import console, print_table
from fabsched.model.estimates import Estimate
from fabsched.session.clock import duration
from fabsched.session.wording import breakdown, route, say

COLUMNS = (
    "part",
    "route",
    "machine",
    "material",
    ">time",
    ">P10 - P90",
    ">mass",
    ">cost",
    ">size mm",
    "mostly",
)


def print_estimates(parts: Sequence[tuple[str, Estimate]], currency: str) -> None:
    """Print a table of estimates and the remarks on them.

    Args:
        parts: name and estimate of each.
        currency: sign put before costs.
    """
    if not parts:
        return
    print_table(COLUMNS, [_row(name, estimate, currency) for name, estimate in parts])
    for _, estimate in parts:
        for finding in estimate.findings:
            console().print(f"- {say(finding)}")


def _row(name: str, estimate: Estimate, currency: str) -> tuple[str, ...]:
    seconds = estimate.seconds
    return (
        name,
        route(estimate.route),
        estimate.machine,
        estimate.stock,
        duration(seconds.likely),
        f"{duration(seconds.low)} - {duration(seconds.high)}",
        "" if estimate.mass_g is None else f"{estimate.mass_g:.1f} g",
        "" if estimate.cost is None else f"{currency} {estimate.cost:.2f}",
        _size(estimate),
        _mostly(estimate),
    )


def _size(estimate: Estimate) -> str:
    heights = () if estimate.height_mm is None else (estimate.height_mm,)
    return " x ".join(f"{length:.1f}" for length in (*estimate.footprint_mm, *heights))


def _mostly(estimate: Estimate) -> str:
    """The two largest shares of the time."""
    total = sum(estimate.breakdown_s.values()) or 1.0
    shares = sorted(estimate.breakdown_s.items(), key=lambda entry: -entry[1])[:2]
    return ", ".join(f"{breakdown(code)} {spent / total:.0%}" for code, spent in shares if spent)
