"""How right what was foretold has been, and what the log has taught, in sentences."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fabsched.model.errors import Fact
from fabsched.session.judged_records import (
    Chances,
    Failures,
    Faults,
    Judged,
    Lateness,
    Learnt,
    Pace,
    Times,
    Timing,
)
from fabsched.session.names_learnt import DELIVERIES, FAULTS
from fabsched.session.wording import figure, phrase

FEWEST = 0.0005
"""Chances below that are told as none."""


def judged_lines(found: Judged) -> tuple[str, ...]:
    """How right it has been so far: a line for each sort of times, for cuts that do not count, and for the odds."""
    times = [times_text(each) for each in found.times]
    if found.cuts_left_out:
        times.append(phrase("judged-cuts-left-out", count=found.cuts_left_out))
    if found.chances is None:
        lacks = phrase("judged-no-project") if found.times else phrase("judged-nothing")
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


@dataclass(frozen=True, slots=True)
class Told:
    """A sentence about what was learnt.

    Attributes:
        text: the sentence.
        name: by which it is unlearnt (`Experiences.unlearn`); empty where it stands for several.
    """

    text: str
    name: str


def learnt_lines(found: Learnt, names: Mapping[str, str]) -> Iterator[str]:
    """What the log has taught, each with what it rests on; see `learnt_told`."""
    return (told.text for told in learnt_told(found, names))


def learnt_told(found: Learnt, names: Mapping[str, str]) -> Iterator[Told]:
    """What the log has taught, each with what it rests on and by which name it is unlearnt.

    Args:
        found: that.
        names: of machines, by id.
    """
    for pace in found.works:
        yield Told(_pace(pace), pace.kind)
    for timing in found.timings:
        yield Told(_timing(timing, names), timing.material or timing.machine)
    for machine in found.machines:
        yield Told(_failures(machine, names), machine.material or machine.machine)
    if found.faults is not None:
        yield Told(_faults(found.faults), FAULTS)
    if found.deliveries is not None:
        yield Told(_deliveries(found.deliveries), DELIVERIES)


def name_of(name: str, names: Mapping[str, str]) -> str:
    """What goes by a name under which things are unlearnt, as shown."""
    own = {kind: phrase(f"kind-{kind}") for kind in ("work", "gate", FAULTS, DELIVERIES)}
    return own.get(name) or names.get(name, name)


def _pace(pace: Pace) -> str:
    facts: dict[str, Fact] = {"factor": figure(pace.factor, 2), "count": pace.count}
    if not pace.kind:
        return phrase("learnt-all", **facts)
    return phrase("learnt-kind", what=name_of(pace.kind, {}), **facts)


def _timing(found: Timing, names: Mapping[str, str]) -> str:
    return phrase(
        "learnt-time" if found.material else "learnt-time-plain",
        machine=names.get(found.machine, found.machine),
        material=found.material,
        factor=figure(found.factor, 2),
        count=found.count,
    )


def _failures(found: Failures, names: Mapping[str, str]) -> str:
    return phrase(
        "learnt-failures-of" if found.material else "learnt-failures",
        machine=names.get(found.machine, found.machine),
        material=found.material,
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


def _deliveries(found: Lateness) -> str:
    return phrase(
        "learnt-deliveries", late=found.late, count=found.count, factor=figure(found.factor, 2)
    )


def _percent(share: float) -> str:
    """A share in hundredths, one more place where it is small.

    >>> _percent(0.8), _percent(0.012), _percent(0.0)
    ('80', '1.2', '0')
    """
    return figure(100 * share, 1 if FEWEST <= share < 0.1 else 0)
