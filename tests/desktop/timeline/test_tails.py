"""How much longer blocks may take."""

from dataclasses import replace

import pytest

from fabsched.desktop.timeline.tails import over_s, tails_of
from fabsched.model.spread import Spread
from fabsched.model.weekend import Task
from tests.desktop import made


def test_a_machine_run_reaches_to_its_p90() -> None:
    """The tail of a run ends where its P90 time would: the machine's third figure."""
    answer = made.answer()
    block = next(block for block in answer.course.blocks if block.id == "louvres")
    assert tails_of(made.weekend(), answer.course.blocks)["louvres"] == block.end_s + round(
        0.2 * 745 * 60
    )


def test_the_last_piece_of_work_takes_the_delay() -> None:
    """Work cut into pieces has one tail, behind its last piece."""
    blocks = made.answer().course.blocks
    pieces = [block.id for block in blocks if block.activity == "code"]
    found = tails_of(made.weekend(), blocks)
    assert len(pieces) > 1
    assert [ident for ident in pieces if ident in found] == pieces[-1:]


def test_what_is_sure_has_no_tail() -> None:
    """A time without spread cannot be exceeded."""
    weekend = made.weekend()
    code = weekend.activity("code")
    assert isinstance(code, Task)
    sure = (replace(code, seconds=Spread.exactly(60)),)
    found = tails_of(replace(weekend, activities=sure), made.answer().course.blocks)
    assert found == {}


def test_the_pert_example_of_malcolm() -> None:
    """1, 2 and 9: mean 3, deviation 8/6, so nine of ten lie below 3 + 1.2816 * 4/3 = 4.71.

    The three points are a common worked example of PERT (from memory).
    """
    assert over_s(Spread(1, 2, 9)) == pytest.approx(2.709, abs=1e-3)
