"""The reasons of a plan in sentences."""

from dataclasses import replace

import pytest

from fabsched.model.plan import Plan
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.weekend import Swap, Turn
from fabsched.schedule.chains import chain
from fabsched.schedule.settled import Settled, settled
from fabsched.session.reason_words import (
    chain_text,
    last_note,
    last_start_text,
    latest_s,
    settled_text,
    then_text,
    waiting,
)
from fabsched.session.wording import templates
from tests.model.made import H, as_listed, hours, printing, task, weekend

CHAINED = weekend(
    printing("lid"), task("fit", after=("lid",)), task("glue", after=("lid", "fit")), task("rest")
)
COURSE = replay(CHAINED, as_listed(CHAINED), nominal(CHAINED))


def test_what_waits_for_a_block_is_named() -> None:
    """In the order in which it begins; what nothing waits for says nothing."""
    said = {block.id: then_text(COURSE.blocks, block) for block in COURSE.blocks}
    assert said["lid.start"] == said["lid"] == "Then: Fit, Glue."
    assert said["fit"] == "Then: Glue."
    assert said["glue"] == said["rest"] == ""
    assert waiting(COURSE.blocks, "lid") == ("Fit", "Glue")


def test_many_that_wait_are_counted() -> None:
    """Three are named."""
    found = weekend(task("a"), *(task(f"b{n}", after=("a",)) for n in range(5)))
    blocks = replay(found, as_listed(found), nominal(found)).blocks
    assert then_text(blocks, blocks[0]) == "Then: B0, B1, B2 and 2 more."


def test_the_chain_is_told_from_its_beginning() -> None:
    """Each thing once, although a print is started, runs and is cleared."""
    assert chain_text(COURSE.blocks, chain(CHAINED, COURSE)) == "Lid \u2192 Fit \u2192 Glue"
    assert chain_text(COURSE.blocks, ()) == ""


def test_hours_a_link_waited_for_are_told() -> None:
    """What was done before had time to spare: the hours are told beside what waited for them."""
    found = weekend(task("saw", H), task("glue", H), up=hours((8, 9), (20, 24)))
    blocks = replay(found, as_listed(found), nominal(found)).blocks
    assert chain_text(blocks, ("glue", "saw")) == (
        "Saw (Ada is not free before then) \u2192 Glue (Ada is not free before then)"
    )


def test_the_latest_start_told_is_never_before_the_start_told() -> None:
    """A start is told by the minute after it: one 20 s before 14:42 is told as 14:42, not 14:41."""
    start_s = 10 * H - 20
    kept = replace(COURSE.blocks[0], start_s=start_s, last_start_s=start_s)
    assert latest_s(kept) == 10 * H
    assert latest_s(replace(kept, last_start_s=11 * H)) == 11 * H


def test_points_are_told_without_idle_figures() -> None:
    """Two points are two, a tenth of a point is told where there is one."""
    blocks = [replace(COURSE.blocks[0], last_cost=cost) for cost in (0.02, 0.013)]
    assert "more than 2 points" in last_note(blocks)
    assert "more than 1.3 points" in last_start_text(blocks[1], "Sat 10:00")


@pytest.mark.parametrize("kind", Turn)
def test_every_decision_can_be_told(kind: Turn) -> None:
    """Taken, and, but for beds, not taken; nothing is left over in the table."""
    swap = Swap(id="s", kind=kind, name="Coupon", out=frozenset({"a"}), into=frozenset({"b"}))
    names = {"a": "Lid", "b": "Both"}
    told = [settled_text(Settled(swap=swap, taken=taken), names) for taken in (True, False)]
    assert all("Coupon" in text or ("Lid" in text and "Both" in text) for text in told[:1])
    assert {str(kind), *([] if kind is Turn.BED else [f"{kind}-not"])} <= set(
        templates()["decided"]
    )
    assert len(templates()["decided"]) == 2 * len(Turn) - 1


def test_decisions_are_those_taken_and_those_still_open() -> None:
    """A swap is taken if its runs are carried out, open if it could be; of beds only the taken."""
    swaps = (
        Swap(id="bed", kind=Turn.BED, name="Both", out=frozenset("ab"), into=frozenset("c")),
        Swap(id="gate", kind=Turn.GATE, name="Look", out=frozenset(), into=frozenset("g")),
        Swap(id="drop", kind=Turn.DROP, name="Page", out=frozenset("d")),
    )
    found = weekend(
        *(printing(ident, 2 * H) for ident in "abc"), task("d", needed=False), task("g")
    )
    found = replace(found, swaps=swaps)
    usual = settled(found, Plan(order=("a", "b", "d"), dropped=frozenset("cg")))
    other = settled(found, Plan(order=("c", "g"), dropped=frozenset("abd")))
    assert [(each.swap.id, each.taken) for each in usual] == [("gate", False), ("drop", False)]
    assert {(each.swap.id, each.taken) for each in other} == {
        ("bed", True),
        ("gate", True),
        ("drop", True),
    }
