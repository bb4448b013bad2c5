"""Sheets laid out better: the plan stays, nothing gets worse."""

from collections import Counter

from fabsched.nest.verify import problems
from fabsched.schedule.layouts import RunLayout, layouts_of
from fabsched.schedule.nesting import outline_of
from fabsched.schedule.sheet_filling import SHEET_GAP_MM
from fabsched.session.improve_request import ImproveRequest
from tests.schedule.projects import ESTIMATES, PROJECT, SHOP
from tests.session.test_stocktaking import ANSWER


def reach_mm(layout: RunLayout) -> float:
    """How far right the parts of a run reach."""
    outlines = {p.id: outline_of(ESTIMATES[p.id][layout.machine]) for p in layout.placements}
    return max(float(p.outline_mm(outlines[p.id])[:, 0].max()) for p in layout.placements)


def test_sheets_keep_their_parts_and_take_no_more_room() -> None:
    """Same runs, same copies, sound by exact distances; beds are as they were."""
    before = layouts_of(PROJECT, SHOP, ESTIMATES, ANSWER.course, ANSWER.plan)
    request = ImproveRequest(
        project=PROJECT, shop=SHOP, estimates=ESTIMATES, answer=ANSWER, seconds=4
    )
    after = request.run().layouts
    for old, new in zip(before, after, strict=True):
        assert old.run == new.run
        assert Counter(p.id for p in old.placements) == Counter(p.id for p in new.placements)
        if not old.run.attended:
            assert old == new
            continue
        assert reach_mm(new) <= reach_mm(old) + 1e-6
        rings = [p.outline_mm(outline_of(ESTIMATES[p.id][new.machine])) for p in new.placements]
        assert not problems([rings], new.size_mm, SHEET_GAP_MM)
