"""What the compiled simulator keeps while a scenario is carried out."""

from typing import NamedTuple

import numpy as np

from fabsched.odds.tables import Ints, Luck, Program, Rows, Shop

MINE = np.dtype(
    [
        ("step", np.int64),
        ("waits", np.int64),
        ("held", np.int64),
        ("spot", np.int64),
        ("attempt", np.int64),
        ("done", np.int64),
    ]
)
"""An entry: its next step, how many others it waits for, until when these last or it runs alone, its
spot, its failed attempts so far, when it was done (`NEVER` before)."""

PERSON = np.dtype(
    [
        ("free", np.int64),
        ("place", np.int64),
        ("bound", np.int64),
        ("idle", np.int64),
        ("keeps", np.int64),
        ("stands_back", np.int64),
        ("comes", np.int64),
        ("picked", np.int64),
        ("way", np.int64),
        ("there", np.int64),
        ("first", np.int64),
    ]
)
"""A person: when they are free, where they are, until when they stay there, whether they only wait until then, the rank of what
they keep free for (or `NONE`), whether they let others look first; and while a crew is gathered,
whether they could be in it, whether they are, their way, when they can be there, their first start."""

TALLY = np.dtype(
    [
        ("urgent", np.int64),
        ("needed", np.int64),
        ("open", np.int64),
        ("finish", np.int64),
        ("looker", np.int64),
        ("looked", np.int64),
        ("there", np.int64),
        ("wait", np.int64),
    ]
)
"""How many steps are to be taken, how many entries the finish waits for, how many keep the scenario
open (optional gates may still find a fault), and the finish so far; who chose to wait since the last
step (the first like them, or `NONE`), when and where, and until when."""


class State(NamedTuple):
    """What changes while one scenario is carried out.

    Attributes:
        entries: (n,) of `MINE`.
        people: (people,) of `PERSON`.
        machines: (machines,) moment at which each is free; `NEVER` while that is not known.
        released: (m,) moment at which what an entry waits for has been brought to each of its spots.
        urgent: (n,) entries with a next step, the most urgent first.
        seen: (windows,) for the first row of a set, its first window that has not ended.
        tally: (1,) of `TALLY`.
    """

    entries: Rows
    people: Rows
    machines: Ints
    released: Ints
    urgent: Ints
    seen: Ints
    tally: Rows


class Play(NamedTuple):
    """A plan in the shop under one luck or another."""

    shop: Shop
    program: Program
    luck: Luck
    state: State


class Out(NamedTuple):
    """What becomes of a plan; the last axis is the scenario.

    Attributes:
        finishes: (scenarios,) when everything needed is done; `NEVER` if it never is.
        watched: (k,) rows of carried out entries whose end is asked for.
        done: (k, scenarios) when each of these was done; `NEVER` if that was not before the
            finish was known.
    """

    finishes: Ints
    watched: Ints
    done: Ints


def fresh_state(shop: Shop, machines: int) -> State:
    """Room for one scenario at a time."""
    entries, spots = len(shop.entries), len(shop.spots)
    return State(
        entries=np.zeros(entries, MINE),
        people=np.zeros(len(shop.bases), PERSON),
        machines=np.zeros(machines, np.int64),
        released=np.zeros(spots, np.int64),
        urgent=np.zeros(entries, np.int64),
        seen=np.zeros(len(shop.spans), np.int64),
        tally=np.zeros(1, TALLY),
    )
