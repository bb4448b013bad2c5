"""The chain that decides the finish, traced."""

from dataclasses import replace

import pytest
from PySide6.QtGui import QColor

from fabsched.desktop.timeline.look import LIGHT
from fabsched.desktop.timeline.scene import scene
from fabsched.model.plan import Reason, Why
from tests.desktop import made
from tests.desktop.timeline.test_paint import colour, draw, far

pytestmark = pytest.mark.usefixtures("qapp")


def test_blocks_of_the_chain_have_a_bar_along_their_top() -> None:
    """The last check waits for the assembly, which waits for the fit: all three are marked."""
    answer = made.answer()
    after = {"last": "Assemble the station", "assemble#1": "Test fit of the cradle"}
    blocks = tuple(
        replace(b, reason=Reason(Why.AFTER, {"what": after[b.id]})) if b.id in after else b
        for b in answer.course.blocks
    )
    ends = {b.activity: b.end_s for b in blocks}
    course = replace(answer.course, blocks=blocks, done_s=ends, finish_s=ends["last"])
    shown = scene(made.weekend(), replace(answer, course=course))
    assert shown.chain[-1] == "last"
    assert "louvres" not in shown.chain
    drawn = draw(LIGHT, shown=shown)
    canvas = drawn[1]
    for ident, marked in (("assemble#2", True), ("funnel", False)):
        block, lane = shown.block(ident), shown.lane_of(ident)
        assert block is not None
        assert lane is not None
        assert (ident in shown.chain) is marked
        x = canvas.scale.x((block.start_s + block.end_s) / 2)
        seen = colour(drawn, x, canvas.frame.slot(lane).y)
        assert (far(seen, QColor(LIGHT.ink)) < 60) is marked
