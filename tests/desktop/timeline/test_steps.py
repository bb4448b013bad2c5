"""The steps of a plan, and the list of them under a picture."""

from dataclasses import replace

import pytest
from PySide6.QtGui import QFont

from fabsched.desktop.bench.now import doing
from fabsched.desktop.timeline.key import key_of
from fabsched.desktop.timeline.look import LIGHT, Look
from fabsched.desktop.timeline.scene import scene
from fabsched.desktop.words import block_text
from fabsched.model.plan import Kind
from fabsched.model.state import state_of
from tests.cli.made import crewed
from tests.desktop import made

SHOWN = scene(made.weekend(), made.answer())


def test_every_block_is_one_step_in_order_of_start() -> None:
    """Numbers rise from 1 with the starts, and all blocks of the plan have one."""
    starts = [step.block.start_s for step in SHOWN.steps]
    assert starts == sorted(starts)
    assert [step.number for step in SHOWN.steps] == list(range(1, len(made.blocks()) + 1))
    assert SHOWN.numbers.keys() == {block.id for block in made.blocks()}


def test_steps_say_what_hands_do_and_what_machines_make() -> None:
    """A start names the machine, a run whose it is, work is told by its name."""
    told = {step.block.id: step.told for step in SHOWN.steps}
    assert told["louvres.start"] == "Start Louvre plates (6) on Large printer"
    assert told["louvres"] == "Large printer: Louvre plates (6)"
    assert told["wire#1"] == "Wire the sensors"
    assert told["bench"].endswith("Bench test of the wiring")


def test_common_work_is_told_with_whom() -> None:
    """In the list, in what is to be done now, and under the pointer; alone nobody is named."""
    shown = scene(*crewed())
    steps = {step.block.id: step for step in shown.steps}
    assert steps["lift"].told == "Ada: Lift, with Bo"
    assert steps["lift+bo"].told == "Bo: Lift, with Ada"
    assert "Ada, with Bo" in block_text(shown, steps["lift"].block)
    assert "with" not in block_text(shown, steps["lid.start"].block).split("\n")[1]
    now = doing(shown, state_of(()), steps["lift"].block.start_s)
    assert "Lift, with Ada" in {step.deed for step in now.hands}


def test_several_people_are_told_apart() -> None:
    """With two people every line says who does it; runs say which machine, as always."""
    weekend = made.weekend()
    (mira,) = weekend.hands
    two = replace(weekend, hands=(mira, replace(mira, id="noor", name="Noor")))
    told = {step.block.id: step.told for step in scene(two, made.answer()).steps}
    assert told["wire#1"] == "Mira: Wire the sensors"
    assert told["louvres"] == "Large printer: Louvre plates (6)"


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("width", [200, 700, 1500, 4000])
def test_the_list_holds_every_step_once_whatever_its_width(width: int) -> None:
    """In columns that lie side by side within the width, a heading for each day."""
    key = key_of(SHOWN, Look(LIGHT, QFont()), width)
    lines = [line for column in key.columns for line in column]
    numbers = [line.number for line in lines if line.number]
    assert numbers == [str(step.number) for step in SHOWN.steps]
    days = [line.text for line in lines if not line.number]
    assert days == ["Friday 13 March", "Saturday 14 March"]
    assert len(key.columns) * key.width_px <= width + 1e-6
    assert key.height_px > 0
    runs = [step for step in SHOWN.steps if step.block.kind is Kind.RUN]
    assert all(step.told in {line.text for line in lines} for step in runs)
