"""Values on the command line: what argparse turns a word into, or refuses it with what it should be."""

import argparse

from fabsched.model.operations import Operation

MOST_NUMBERS = 1000
"""So many can be meant by one from and to."""


def lengths(text: str) -> tuple[float, ...]:
    """Lengths above zero with commas between."""
    return _above_zero(text, ",", "2.1,2.1,3")


def channel(text: str) -> tuple[float, ...]:
    """Width and height, or a diameter."""
    found = _above_zero(text, "x", "10x8")
    if len(found) > 2:
        raise argparse.ArgumentTypeError(f"'{text}' is no size like 10x8")
    return found


def _above_zero(text: str, between: str, example: str) -> tuple[float, ...]:
    try:
        found = tuple(float(word) for word in text.split(between))
    except ValueError:
        found = ()
    if not found or not all(0 < length < 1e4 for length in found):
        raise argparse.ArgumentTypeError(f"'{text}' cannot be read; write it like {example}")
    return found


def numbers(text: str) -> tuple[int, ...]:
    """Whole numbers with commas between, or from and to with a hyphen.

    >>> numbers("1,2"), numbers("1-3, 5")
    ((1, 2), (1, 2, 3, 5))
    """
    found: list[int] = []
    for word in text.split(","):
        first, _, last = word.strip().partition("-")
        last = last or first
        known = first.isdecimal() and last.isdecimal()
        if not (known and 0 <= int(last) - int(first) < MOST_NUMBERS):
            raise argparse.ArgumentTypeError(f"'{text}' is no list of numbers like 1,2")
        found += range(int(first), int(last) + 1)
    return tuple(found)


def number(text: str) -> float:
    """A number with or without decimals."""
    try:
        return float(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"'{text}' is no number like 2.5") from error


def count(text: str) -> int:
    """A whole number; what it may be is checked where it is used."""
    try:
        return int(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number") from error


def seed(text: str) -> int:
    """A whole number not below zero."""
    if not text.isdecimal():
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number from 0 on")
    return int(text)


def layer(text: str) -> tuple[str, Operation]:
    """Name of a layer and what is done along it."""
    name, _, word = text.rpartition("=")
    if not name.strip() or word not in set(Operation):
        known = ", ".join(Operation)
        raise argparse.ArgumentTypeError(f"'{text}' is not NAME=OPERATION with one of {known}")
    return name, Operation(word)
