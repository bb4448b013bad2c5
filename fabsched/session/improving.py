"""Sheets of a plan laid out better while the user looks on. Heavy: imported when a request runs.

The plan stays as it is: every sheet keeps its parts. What gets better is how much of each is left.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fabsched.model.estimates import Estimate, Route
from fabsched.model.plan import Answer
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.project import Project
from fabsched.model.shop import Shop
from fabsched.nest.improve import improved
from fabsched.nest.records import Bin, Item, Layout, Placement, Task
from fabsched.nest.verify import faults
from fabsched.nest.worth import Effort
from fabsched.schedule.layouts import RunLayout, layouts_of
from fabsched.schedule.nesting import inner, item_of
from fabsched.schedule.sheet_filling import SHEET_GAP_MM
from fabsched.schedule.stretch import Stretch

HALVINGS = 20
"""How often a rim is halved to find the widest that is kept: far below a thousandth of a millimetre."""


def improved_layouts(
    project: Project,
    shop: Shop,
    estimates: Mapping[str, Mapping[str, Estimate]],
    answer: Answer,
    effort: Effort,
    watch: Watch = UNWATCHED,
) -> tuple[RunLayout, ...]:
    """The layouts of a plan, its sheets pushed closer together; none is worse than it was.

    Args:
        project: what was planned.
        shop: what it was planned for.
        estimates: what it was planned with, by part id and machine id.
        answer: the plan.
        effort: the seconds are shared out among the sheets.
        watch: hears how far it is; when it says stop, the rest stays as it is.

    Raises:
        InputError: no machine can make a part, or it fits none.
    """
    layouts = layouts_of(project, shop, estimates, answer.course, answer.plan)
    parts = {part.id: part for part in project.parts}
    cut = [
        layout
        for layout in layouts
        if layout.placements and parts[layout.run.cargo[0][0]].route is Route.CUT
    ]
    share = replace(effort, seconds=max(1, effort.seconds // max(1, len(cut))))
    found = {}
    for number, layout in enumerate(cut):
        items = [
            item_of(parts[ident], estimates[ident][layout.machine], copies)
            for ident, copies in layout.run.cargo
        ]
        one = Stretch(watch, number / len(cut), (number + 1) / len(cut))
        found[layout.run.id] = _improved(layout, items, share, one)
    return tuple(found.get(layout.run.id, layout) for layout in layouts)


def _improved(layout: RunLayout, items: list[Item], effort: Effort, watch: Watch) -> RunLayout:
    """One sheet. Its rim is what the parts on it leave free all around."""
    sheet = Bin(size_mm=layout.size_mm, outline=layout.outline, keep_out=layout.keep_out)
    rim_mm = _rim_mm(layout.placements, items, sheet)
    standing = Layout(placements=tuple(_moved(p, -rim_mm) for p in layout.placements))
    room = inner(sheet, rim_mm)
    task = Task(items=items, bins=[room], gap_mm=SHEET_GAP_MM)
    better = improved(standing, task, effort, watch)
    return replace(layout, placements=tuple(_moved(p, rim_mm) for p in better.placements))


def _rim_mm(placements: Sequence[Placement], items: Sequence[Item], sheet: Bin) -> float:
    """The widest rim all parts keep to: what they keep on the left and below, or a part of it."""
    known = {item.id: item for item in items}
    low = [p.outline_mm(known[p.id].outline).min() for p in placements]
    least_mm, most_mm = 0.0, max(0.0, float(min(low)))

    def kept(rim_mm: float) -> bool:
        room = inner(replace(sheet, keep_out=()), rim_mm)
        moved = (_moved(p, -rim_mm).rings_mm(known[p.id]) for p in placements)
        return not any(faults([rings], room, 0.0) for rings in moved)

    if kept(most_mm):
        return most_mm
    for _ in range(HALVINGS):
        middle_mm = (least_mm + most_mm) / 2
        least_mm, most_mm = (middle_mm, most_mm) if kept(middle_mm) else (least_mm, middle_mm)
    return least_mm


def _moved(placement: Placement, by_mm: float) -> Placement:
    return replace(placement, bin=0, x_mm=placement.x_mm + by_mm, y_mm=placement.y_mm + by_mm)
