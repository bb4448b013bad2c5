"""Trying out what it costs to start something at a moment. Heavy: imported when a request runs."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from fabsched.model.plan import Course, Plan
from fabsched.model.progress import Watch, check
from fabsched.model.project import Pin
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.weekend import Weekend
from fabsched.odds.compile import compile_weekend
from fabsched.odds.draws import draw
from fabsched.odds.simulate import finishes_of
from fabsched.schedule.pins import pinned
from fabsched.session.inputs import PinInput


def tried(given: PinInput, watch: Watch) -> tuple[Course, float, float]:
    """The nominal course with the pin, the chance with it, and the chance without.

    Raises:
        Cancelled: the watch said stop.
    """
    pin = Pin(id=given.what, at=datetime.fromtimestamp(given.start_s, UTC))
    held = pinned(_let_go(given.weekend, given.what), [pin])
    course = replay(held, given.plan, nominal(held))
    chances = []
    for weekend in (held, given.weekend):
        check(watch)
        chances.append(_on_time(weekend, given.plan, given))
    return course, chances[0], chances[1]


def _let_go(weekend: Weekend, what: str) -> Weekend:
    """The weekend with an older pin of the same thing taken out."""
    if what not in weekend.first:
        return weekend
    activities = tuple(replace(a, earliest_s=0) if a.id == what else a for a in weekend.activities)
    return replace(weekend, activities=activities)


def _on_time(weekend: Weekend, plan: Plan, given: PinInput) -> float:
    draws = draw(compile_weekend(weekend), given.scenarios, given.seed)
    return float(np.mean(finishes_of(draws, plan) <= weekend.deadline_s))
