"""Sheets laid out better: the plan stays, nothing gets worse."""

from collections import Counter
from dataclasses import replace

from fabsched.model.progress import UNWATCHED
from fabsched.nest.place import layout_faults, nest
from fabsched.nest.records import Bin, Layout
from fabsched.nest.verify import problems
from fabsched.nest.worth import Effort, score_of
from fabsched.schedule.layouts import RunLayout, layouts_of
from fabsched.schedule.nesting import inner, outline_of
from fabsched.schedule.sheet_filling import SHEET_GAP_MM
from fabsched.session.improve_request import ImproveRequest
from fabsched.session.improving import _improved
from tests.nest.test_strips import star
from tests.schedule.projects import ESTIMATES, PROJECT, SHOP
from tests.session.test_stocktaking import ANSWER


def reach_mm(layout: RunLayout) -> float:
    """How far right the parts of a run reach."""
    outlines = {p.id: outline_of(ESTIMATES[p.id][layout.machine]) for p in layout.placements}
    return max(float(p.outline_mm(outlines[p.id])[:, 0].max()) for p in layout.placements)


def layouts() -> tuple[RunLayout, ...]:
    """What the plan lays out."""
    return layouts_of(PROJECT, SHOP, ESTIMATES, ANSWER.course, ANSWER.plan)


def test_sheets_keep_their_parts_and_take_no_more_room() -> None:
    """Same runs, same copies, sound by exact distances; beds are as they were."""
    before = layouts()
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


def test_parts_on_an_offcut_keep_their_rim() -> None:
    """They are pushed together on it, and stay half a millimetre from its slanted border."""
    sheet = Bin(size_mm=(220.0, 160.0), outline=((0, 0), (220, 0), (120, 160), (0, 160)))
    items, rim_mm = [star(kind) for kind in range(2)], 0.5
    room = inner(sheet, rim_mm)
    standing = nest(items, [room], SHEET_GAP_MM, resolution_mm=2.0)
    moved = [replace(p, x_mm=p.x_mm + rim_mm, y_mm=p.y_mm + rim_mm) for p in standing.placements]
    before = next(x for x in layouts() if x.run.attended)
    before = replace(
        before, size_mm=sheet.size_mm, outline=sheet.outline, keep_out=(), placements=tuple(moved)
    )
    after = _improved(before, items, Effort(portions=1), UNWATCHED)
    better = [replace(p, x_mm=p.x_mm - rim_mm, y_mm=p.y_mm - rim_mm) for p in after.placements]
    laid = Layout(placements=tuple(better))
    assert layout_faults(laid, items, [room], SHEET_GAP_MM) == ()
    assert score_of(laid, items, [room]) < score_of(standing, items, [room])
