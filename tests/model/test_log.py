from dataclasses import replace
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.log import (
    Cure,
    Entry,
    Event,
    InHand,
    Meant,
    Remedy,
    Sort,
    holding,
    last_told,
    last_withdrawn,
)
from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.model.state import State, state_of

LID = Meant(
    name="Lid",
    sort=Sort.RUN,
    items=(("lid", 2),),
    machine="printer",
    place="home",
    seconds=Spread(3000, 3600, 4000),
    clear_s=300,
)
BOX = replace(LID, name="Box", items=(("box", 1),))
WIRE = Meant(name="Wire", sort=Sort.WORK, items=(("wire", 1),), person="me", place="lab")
FIT = Meant(name="Fit", sort=Sort.GATE, items=(("fit", 1),), redo=("lid", "wire"))
ABOUT = {"lid": LID, "box": BOX, "wire": WIRE, "fit": FIT}

SHEET = replace(LID, name="Sheet", sort=Sort.ATTENDED, start_s=600)

TOLD = [kind for kind in Event if kind not in {Event.WITHDRAWN, Event.RESTORED, Event.PLANNED}]


@pytest.mark.parametrize(
    ("meant", "spent_s", "share"),
    [
        (LID, 900, 0.25),
        (LID, 9000, 1.0),
        (SHEET, 300, 0.0),  # it is still being set up
        (SHEET, 1500, 0.25),
        (WIRE, 900, None),
    ],
)
def test_how_far_a_run_got_goes_by_its_estimate(
    meant: Meant, spent_s: float, share: float | None
) -> None:
    """What is attended is set up first; nothing is told where no time is known."""
    assert meant.got_by(spent_s) == share


def told(kind: Event, subject: str = "", at: int = 0, **more: Any) -> Entry:
    """An entry written down as it happened."""
    meant = ABOUT.get(subject, Meant())
    entry = Entry(kind=kind, moment_s=at, noted_s=at, subject=subject, meant=meant)
    return replace(entry, **more)


def log(*entries: Entry) -> tuple[Entry, ...]:
    """Entries as they lie in a log, numbered in the order they were written."""
    return tuple(replace(entry, id=i) for i, entry in enumerate(entries, start=1))


@st.composite
def logs(draw: st.DrawFn) -> tuple[Entry, ...]:
    """Any log: things told in any order, withdrawn, restored, corrected."""
    entries: list[Entry] = []
    for ident in range(1, draw(st.integers(0, 12)) + 1):
        kind = draw(st.sampled_from(list(Event)))
        earlier = st.integers(1, max(1, ident - 1))
        of = tuple(draw(st.lists(earlier, max_size=2)))
        replaces = draw(st.just(0) | earlier) if ident > 1 else 0
        entry = told(kind, draw(st.sampled_from(list(ABOUT))), draw(st.integers(0, 99)))
        entries.append(replace(entry, id=ident, of=of, replaces=replaces, until_s=50))
    return tuple(entries)


@given(logs(), st.randoms())
def test_state_depends_on_the_entries_alone(entries: tuple[Entry, ...], chance: Random) -> None:
    """Every log has a state, whatever was told, and the order it is read in does not matter."""
    shuffled = list(entries)
    chance.shuffle(shuffled)
    assert state_of(shuffled) == state_of(entries)


@given(logs(), st.sampled_from(TOLD), st.sampled_from(list(ABOUT)))
def test_one_undo_and_one_redo(entries: tuple[Entry, ...], kind: Event, subject: str) -> None:
    """Undo brings the state before the last entry back, redo that after it."""
    fresh = len(entries) + 1
    after = (*entries, replace(told(kind, subject, 50), id=fresh))
    undone = (
        *after,
        Entry(kind=Event.WITHDRAWN, moment_s=0, noted_s=0, id=fresh + 1, of=last_told(after)),
    )
    assert state_of(undone) == state_of(entries)
    redone = (
        *undone,
        Entry(kind=Event.RESTORED, moment_s=0, noted_s=0, id=fresh + 2, of=last_withdrawn(undone)),
    )
    assert state_of(redone) == state_of(after)


@given(logs())
def test_what_is_done_does_not_go_on(entries: tuple[Entry, ...]) -> None:
    """Nothing is done and going at once, and no machine has two things."""
    state = state_of(entries)
    assert not state.done.keys() & state.going.keys()
    machines = [stint.meant.machine for stint in state.going.values() if stint.meant.machine]
    assert sorted(set(machines)) == sorted(machines)
    assert not set(machines) & state.uncleared.keys()


def test_a_print_ends_in_two_steps() -> None:
    """A machine that has stopped still waits for hands; only then the print is done."""
    begun = log(told(Event.STARTED, "lid", 10))
    ended = log(*begun, told(Event.FINISHED, "lid", 20))
    off = log(*ended, told(Event.CLEARED, "lid", 25))
    assert state_of(begun).going.keys() == {"lid"}
    assert state_of(ended).uncleared.keys() == {"printer"}
    assert not state_of(ended).done
    assert state_of(off).done.keys() == {"lid"}
    assert state_of(off).past[0].taken_s == 10


def test_starting_the_next_print_says_that_the_last_is_off() -> None:
    """Two prints are never on one machine: what lay there has been taken off."""
    state = state_of(
        log(
            told(Event.STARTED, "lid", 10),
            told(Event.FINISHED, "lid", 20),
            told(Event.STARTED, "box", 30),
        )
    )
    assert state.done.keys() == {"lid"}
    assert state.going.keys() == {"box"}
    assert not state.uncleared


def test_a_failed_print_stays_on_its_machine_and_to_be_done() -> None:
    """A failure leaves the machine to be cleared, says how far it got, and nothing is done."""
    state = state_of(
        log(told(Event.STARTED, "lid", 10), told(Event.FAILED, "lid", 20, share=0.4, why="warped"))
    )
    assert not state.done
    assert not state.going
    assert state.uncleared["printer"].outcome is Event.FAILED
    (stint,) = state.past
    assert (stint.share, stint.taken_s, stint.why) == (0.4, 10, "warped")


def test_a_fault_undoes_what_is_done_again() -> None:
    """A fault found at a gate brings back what it redoes, and counts."""
    done = (told(Event.CLEARED, "lid", 10), told(Event.FINISHED, "wire", 20))
    state = state_of(log(*done, told(Event.FOUND, "fit", 30)))
    assert not state.done
    assert state.found == {"fit": 1}


def test_entries_told_later_count_from_when_they_happened() -> None:
    """A start told after the end is still before it."""
    state = state_of(log(told(Event.FINISHED, "wire", 90), told(Event.STARTED, "wire", 30)))
    assert state.done["wire"].taken_s == 60
    assert state.where == {"me": ("lab", 90)}


def test_a_correction_stands_for_what_it_corrects() -> None:
    """A corrected entry no longer holds, a withdrawn correction gives it back."""
    wrong, right = told(Event.FINISHED, "wire", 90), told(Event.FAILED, "wire", 80, replaces=1)
    entries = log(wrong, right)
    assert [entry.id for entry in holding(entries)] == [2]
    back = log(wrong, right, told(Event.WITHDRAWN, of=(2,)))
    assert [entry.id for entry in holding(back)] == [1]


def test_a_plan_goes_with_what_it_rests_on() -> None:
    """One undo takes the entry and the plan made after it; the plan before is in hand again."""
    first, second = (InHand(plan=Plan(order=order)) for order in (("a", "b"), ("b", "a")))
    entries = log(
        told(Event.PLANNED, plan=first),
        told(Event.FAILED, "lid", 5),
        told(Event.PLANNED, at=6, plan=second),
    )
    assert state_of(entries).in_hand == second
    assert last_told(entries) == (2, 3)
    undone = log(*entries, told(Event.WITHDRAWN, of=(2, 3)))
    assert state_of(undone).in_hand == first
    assert not state_of(undone).has_begun


def test_nothing_told_is_nothing_to_undo() -> None:
    """An empty log, or one of plans only, has nothing to take back or do again."""
    plans = log(told(Event.PLANNED, plan=InHand(plan=Plan(order=()))))
    assert last_told(()) == last_told(plans) == last_withdrawn(plans) == ()
    assert state_of(()) == State()


SLOWER = Remedy(cure=Cure.SLOWER, subject="lid", factor=1.3)
FLAT = Remedy(cure=Cure.POSE, subject="lid", part="lid", turn_deg=(90.0, 0.0, 0.0))


def test_a_choice_has_been_tried_once_it_fails_again() -> None:
    """There is a choice again; a run that is broken off keeps what was chosen about it."""
    taken = told(Event.CHOSEN, "lid", 3, remedy=SLOWER)
    before = (told(Event.STARTED, "lid", 1), told(Event.FAILED, "lid", 2), taken)
    again = (*before, told(Event.STARTED, "lid", 4))
    assert state_of(log(*again)).remedies == {"lid": SLOWER}
    assert not state_of(log(*again, told(Event.FAILED, "lid", 5))).remedies
    assert state_of(log(*again, told(Event.CANCELLED, "lid", 5))).remedies == {"lid": SLOWER}


def test_a_part_stays_turned() -> None:
    """From the choice on, done or failed, until it is turned otherwise or that is withdrawn."""
    taken = told(Event.CHOSEN, "lid", 3, remedy=FLAT)
    entries = (told(Event.STARTED, "lid", 1), told(Event.FAILED, "lid", 2), taken)
    assert state_of(log(*entries)).turned == {"lid": FLAT}
    failed = (told(Event.STARTED, "lid", 4), told(Event.FAILED, "lid", 5))
    assert state_of(log(*entries, *failed)).turned == {"lid": FLAT}
    back = replace(FLAT, turn_deg=(0.0, 0.0, 0.0))
    other = told(Event.CHOSEN, "lid", 6, remedy=back)
    assert state_of(log(*entries, *failed, other)).turned == {"lid": back}
    assert not state_of(log(*entries, told(Event.WITHDRAWN, of=(3,), at=7))).turned
