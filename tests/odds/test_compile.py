"""Weekends and plans as tables."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given

from fabsched.model.network import network
from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.model.steps import Hours, first_duty
from fabsched.model.weekend import Choice, Weekend
from fabsched.model.windows import NEVER, Windows
from fabsched.odds.compile import Frame, compile_plan, compile_weekend
from fabsched.odds.tables import NONE
from tests.model.made import H, hours, printing, task, weekend
from tests.model.weekends import planned


def windows_at(frame: Frame, first: int) -> Windows:
    """A set of windows read back from its rows."""
    rows = frame.shop.spans[first:].tolist()
    end = next(number for number, (start, _) in enumerate(rows) if start == NEVER)
    return Windows(tuple((start, end) for start, end in rows[:end]))


@given(planned())
def test_a_compiled_plan_is_its_network(case: tuple[Weekend, Plan]) -> None:
    """Order of urgency and needs are those of the network, compiled anew for each plan or not."""
    frame, entries = compile_weekend(case[0]), network(*case).entries
    program = compile_plan(frame, case[1])
    live = [entry.id for entry in frame.entries if program.rank[frame.rows[entry.id]] != NONE]
    live.sort(key=lambda ident: int(program.rank[frame.rows[ident]]))
    assert live == [entry.id for entry in entries]
    for entry in entries:
        assert program.waits[frame.rows[entry.id]] == len(entry.after)


@given(planned())
def test_hours_can_be_read_back(case: tuple[Weekend, Plan]) -> None:
    """Every set of windows in the tables is the one the dispatch rule uses."""
    week = case[0]
    frame, hours = compile_weekend(week), Hours(week)
    for p, hands in enumerate(week.hands):
        assert windows_at(frame, int(frame.shop.up[p])) == hands.windows
        for entry, row in zip(frame.entries, frame.shop.entries, strict=True):
            duty = first_duty(week, entry, ())
            for number, spot in enumerate(duty.spots, start=int(row["first_spot"])):
                found = windows_at(frame, int(frame.shop.hours[p, number]))
                assert found == hours.of(hands, duty, spot)


def test_like_machines_and_people_share_a_row() -> None:
    """Two printers that differ in nothing, and two people; not what takes longer, or has other hours."""
    takes = {"fast": 1, "same": 1, "slow": 2, "late": 1}
    choices = tuple(Choice(name, Spread.exactly(n * H)) for name, n in takes.items())
    found = weekend(
        printing("case", choices=choices),
        task("build", after=("case",), people=("ada", "bo", "cy")),
        people=("ada", "bo", "cy"),
        machines=dict.fromkeys(takes, "home"),
        open_={"late": hours((5, 100))},
    )
    away = replace(found.hands[2], base="workshop")
    shop = compile_weekend(replace(found, hands=(*found.hands[:2], away))).shop
    assert shop.spots["like"].tolist() == [0, 0, 2, 3, 4]
    assert shop.alike.tolist() == [0, 0, 2]


@given(planned())
def test_likeness_is_told_by_the_first(case: tuple[Weekend, Plan]) -> None:
    """Every spot and person is like itself or one before, and the first of those like nobody else."""
    shop = compile_weekend(case[0]).shop
    for like in (shop.spots["like"], shop.alike):
        assert (like <= np.arange(len(like))).all()
        assert (like[like] == like).all()


def test_an_incomplete_plan_is_refused() -> None:
    """A plan that leaves something out without dropping it cannot be compiled."""
    frame = compile_weekend(weekend(task("a"), task("b")))
    with pytest.raises(ValueError, match="exactly once"):
        compile_plan(frame, Plan(order=("a",)))


def test_what_may_wake_something_needed_keeps_a_scenario_open() -> None:
    """The end is not known while an optional gate may still send a needed part back."""
    frame = compile_weekend(
        weekend(
            task("a"),
            task("look", after=("a",), chance=0.5, redo=("a",), needed=False),
            task("polish", needed=False),
        )
    )
    flags = {ident: frame.shop.entries[row] for ident, row in frame.rows.items()}
    assert [bool(flags[i]["keeps_open"]) for i in ("a", "look", "polish")] == [True, True, False]
    assert [bool(flags[i]["counts"]) for i in ("a", "look", "polish")] == [True, False, False]
    assert np.array_equal(
        compile_plan(frame, Plan(order=("a", "look", "polish"))).waits[:3], [0, 1, 0]
    )
