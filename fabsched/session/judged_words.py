"""How right what was foretold has been, and what the log has taught, in sentences."""

from collections.abc import Iterator, Mapping

from fabsched.model.errors import Fact
from fabsched.session.judged_records import (
    Chances,
    Failures,
    Faults,
    Judged,
    Learnt,
    Pace,
    Times,
)
from fabsched.session.wording import figure, phrase

FEWEST = 0.0005
"""Chances below that are told as none."""


def judged_lines(found: Judged) -> tuple[str, ...]:
    """How right it has been so far: a line for each sort of times, and for the odds."""
    times = [times_text(each) for each in found.times]
    if found.chances is None:
        lacks = phrase("judged-no-project") if times else phrase("judged-nothing")
        return (*times, lacks)
    return (*times, chances_text(found.chances))


def times_text(found: Times) -> str:
    """How many times came to lie where they were told to."""
    told = phrase(
        f"judged-{found.sort}", inside=found.inside, count=found.count, longer=found.longer
    )
    return f"{told} {phrase(f'verdict-{found.verdict}')}"


def chances_text(found: Chances) -> str:
    """How the odds of past projects did; with few projects, that they cannot be judged."""
    facts: dict[str, Fact] = {
        "count": found.count,
        "came": found.came_true,
        "told": _percent(found.told),
        "score": figure(found.brier, 2),
        "expected": figure(found.expected, 2),
        "reference": figure(found.reference, 2),
    }
    told = phrase("judged-odds", **facts)
    return f"{told} {phrase('judged-odds-few', count=found.count)}" if found.few else told


def learnt_lines(found: Learnt, names: Mapping[str, str]) -> Iterator[str]:
    """What the log has taught, each with what it rests on.

    Args:
        found: that.
        names: of machines, by id.
    """
    for pace in found.works:
        yield _pace(pace)
    for machine in found.machines:
        yield _failures(machine, names)
    if found.faults is not None:
        yield _faults(found.faults)


def _pace(pace: Pace) -> str:
    facts: dict[str, Fact] = {"factor": figure(pace.factor, 2), "count": pace.count}
    if not pace.kind:
        return phrase("learnt-all", **facts)
    own = {"work": phrase("kind-work"), "gate": phrase("kind-gate")}
    return phrase("learnt-kind", what=own.get(pace.kind, pace.kind), **facts)


def _failures(found: Failures, names: Mapping[str, str]) -> str:
    return phrase(
        "learnt-failures",
        machine=names.get(found.machine, found.machine),
        failures=found.failures,
        count=found.runs,
        start=_percent(found.start),
        hour=_percent(found.hour),
    )


def _faults(found: Faults) -> str:
    return phrase(
        "learnt-faults",
        found=found.found,
        count=found.looks,
        expected=figure(found.expected, 1),
        factor=figure(found.factor, 2),
    )


def _percent(share: float) -> str:
    """A share in hundredths, one more place where it is small.

    >>> _percent(0.8), _percent(0.012), _percent(0.0)
    ('80', '1.2', '0')
    """
    return figure(100 * share, 1 if FEWEST <= share < 0.1 else 0)
