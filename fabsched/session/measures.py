"""Measures of joints and of the press, given as `name=value`."""

from collections.abc import Sequence
from dataclasses import asdict, replace
from difflib import get_close_matches
from typing import Any, TypeVar

from fabsched.advise.plates.joinery import JOINTS, PRESSES, SCREWS, Joinery, Measure, Press
from fabsched.model.errors import Fault, InputError

MeasuresT = TypeVar("MeasuresT", Joinery, Press)

WHERE = "--set"
"""Where the measures are given, for errors."""
SWITCH = {"yes": True, "no": False}
MEASURES = {measure.name: measure for measure in (*JOINTS, *PRESSES)}


def measures_of(texts: Sequence[str]) -> tuple[Joinery, Press]:
    """The usual measures with some of them set.

    Args:
        texts: each `name=value`; later ones go first.

    Raises:
        InputError: a name is not known, or a value cannot be or is out of range.
    """
    joinery, press = Joinery(), Press()
    for text in texts:
        name, _, value = text.partition("=")
        if name == "screw":
            joinery = replace(joinery, screw=_one_of(name, value, [s.name for s in SCREWS]))
        elif name == "spares":
            joinery = replace(joinery, spares=SWITCH[_one_of(name, value, list(SWITCH))])
        elif hasattr(joinery, name) and name in MEASURES:
            joinery = _with(joinery, MEASURES[name], value)
        elif name in MEASURES:
            press = _with(press, MEASURES[name], value)
        else:
            raise _unknown(name)
    return joinery, press


def told(joinery: Joinery, press: Press) -> dict[str, float | str | bool]:
    """All measures by name."""
    return {**asdict(joinery), **asdict(press)}


def _with(record: MeasuresT, measure: Measure, value: str) -> MeasuresT:
    changed: dict[str, Any] = {measure.name: _number(measure, value)}
    return replace(record, **changed)


def _unknown(name: str) -> InputError:
    known = [*MEASURES, "screw", "spares"]
    nearest = get_close_matches(name, known, n=1, cutoff=0.0)[0]
    return InputError(Fault.FIELD_UNKNOWN, f"{WHERE} {name}", nearest=nearest)


def _one_of(name: str, value: str, known: list[str]) -> str:
    if value not in known:
        raise InputError(
            Fault.FIELD_MALFORMED, f"{WHERE} {name}", value=value, example=", ".join(known)
        )
    return value


def _number(measure: Measure, value: str) -> float:
    where = f"{WHERE} {measure.name}"
    try:
        number = float(value)
    except ValueError as error:
        raise InputError(
            Fault.FIELD_MALFORMED, where, value=value, example=f"{measure.name}={measure.high:g}"
        ) from error
    if not measure.low <= number <= measure.high:
        raise InputError(
            Fault.FIELD_OUT_OF_RANGE, where, value=value, low=measure.low, high=measure.high
        )
    return number
