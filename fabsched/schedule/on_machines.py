"""Runs that several machines could take, each in its own way."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from fabsched.model.weekend import Choice, Run


def run_on(choices: Iterable[Choice], **fields: Any) -> Run:
    """A run with what its quickest machine asks for, and what others do differently.

    Args:
        choices: machines with everything told; the quickest is preferred.
        fields: everything else a run has.
    """
    row = sorted(choices, key=lambda choice: choice.seconds.likely)
    usual = row[0]
    return Run(
        choices=tuple(_differing(choice, usual) for choice in row),
        start_s=usual.start_s or 0,
        clear_s=usual.clear_s or 0,
        watch_s=usual.watch_s or 0,
        stays=usual.stays or False,
        fail_start=usual.fail_start or 0.0,
        fail_hour=usual.fail_hour or 0.0,
        **fields,
    )


def _differing(choice: Choice, usual: Choice) -> Choice:
    """The machine without what is as usual."""
    return replace(
        choice,
        start_s=None if choice.start_s == usual.start_s else choice.start_s,
        clear_s=None if choice.clear_s == usual.clear_s else choice.clear_s,
        watch_s=None if choice.watch_s == usual.watch_s else choice.watch_s,
        stays=None if choice.stays == usual.stays else choice.stays,
        fail_start=None if choice.fail_start == usual.fail_start else choice.fail_start,
        fail_hour=None if choice.fail_hour == usual.fail_hour else choice.fail_hour,
    )
