"""Estimates as people read them in a terminal."""

from collections.abc import Sequence

from fabsched.cli.tables import console, print_table
from fabsched.estimate.raising import raising, times_failing
from fabsched.model.estimates import Estimate, Pose
from fabsched.session.clock import duration
from fabsched.session.noticed import say
from fabsched.session.wording import breakdown, figure, money, phrase, route, sides_text

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
    """Print a table of estimates, which prints fail more often than usual, and the remarks on them.

    Args:
        parts: name and estimate of each.
        currency: sign put before costs.
    """
    if not parts:
        return
    print_table(COLUMNS, [_row(name, estimate, currency) for name, estimate in parts])
    for line in _known(parts):
        console().print(line, markup=False)
    for line in _failing(parts):
        console().print(line, markup=False)
    for _, estimate in parts:
        for finding in estimate.findings:
            console().print(f"- {say(finding)}")


def _known(parts: Sequence[tuple[str, Estimate]]) -> list[str]:
    """How much is known of the machines, each said once."""
    known = {e.machine: e.known for _, e in parts if e.known}
    return [phrase("known", machine=name, count=count) for name, count in known.items()]


def _failing(parts: Sequence[tuple[str, Estimate]]) -> list[str]:
    """Which prints fail more often than others by their shape, by how much, and why."""
    return [
        phrase(
            "print-fails-oftener",
            part=name,
            times=figure(times_failing(estimate), 1),
            causes=", ".join(phrase(f"raising-{cause}") for cause in causes),
        )
        for name, estimate in parts
        if (causes := raising(estimate))
    ]


POSES = (
    "turn about x, y, z",
    ">time",
    ">P10 - P90",
    ">support",
    ">on the bed",
    ">size mm",
    "note",
)


def print_poses(name: str, poses: Sequence[Pose]) -> None:
    """Print a table of the ways a part can be printed, best first.

    Args:
        name: of the part.
        poses: what was found; nothing is printed if there are none.
    """
    if poses:
        console().print(f"{name}:", markup=False)
        print_table(POSES, [_pose_row(pose) for pose in poses])


def _pose_row(pose: Pose) -> tuple[str, ...]:
    known = pose.estimate
    seconds = known.seconds if known else pose.rough_s
    return (
        ", ".join(f"{figure(degrees)}°" for degrees in pose.turn_deg),
        duration(seconds.likely),
        f"{duration(seconds.low)} - {duration(seconds.high)}",
        f"{figure(pose.support_mm3 / 1000, 1)} cm³",
        f"{pose.contact_mm2:.0f} mm²",
        sides_text(pose.size_mm, 1),
        "" if pose.fits else phrase("pose-too-large"),
    )


def _row(name: str, estimate: Estimate, currency: str) -> tuple[str, ...]:
    seconds = estimate.seconds
    return (
        name,
        route(estimate.route),
        estimate.machine,
        estimate.stock,
        duration(seconds.likely),
        f"{duration(seconds.low)} - {duration(seconds.high)}",
        "" if estimate.mass_g is None else f"{figure(estimate.mass_g, 1)} g",
        "" if estimate.cost is None else money(estimate.cost, currency),
        _size(estimate),
        _mostly(estimate),
    )


def _size(estimate: Estimate) -> str:
    heights = () if estimate.height_mm is None else (estimate.height_mm,)
    return sides_text((*estimate.footprint_mm, *heights), 1)


def _mostly(estimate: Estimate) -> str:
    """The two largest shares of the time."""
    total = sum(estimate.breakdown_s.values()) or 1.0
    shares = sorted(estimate.breakdown_s.items(), key=lambda entry: -entry[1])[:2]
    return ", ".join(f"{breakdown(code)} {spent / total:.0%}" for code, spent in shares if spent)
