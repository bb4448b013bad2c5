"""What an export is given and what it makes, as plain records: light, and ready to be pickled."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from fabsched.model.estimates import Estimate
from fabsched.model.plan import Answer
from fabsched.model.project import Project
from fabsched.model.shop import Border, Shop
from fabsched.model.weekend import Weekend

if TYPE_CHECKING:  # brings in numpy, which the command line does not start with
    from fabsched.model.shapes import Outline
    from fabsched.schedule.layouts import RunLayout

SHEETS, BEDS = "sheets", "beds"
"""Folders of the files of runs."""
MADE_ENDINGS = frozenset({".dxf", ".svg", ".3mf", ".stl", ".png"})
"""Endings of those files."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportInput:
    """A plan to be carried out, and where its files go.

    Attributes:
        project: what was planned.
        shop: what it was planned for.
        estimates: what it was planned with, by part id and machine id.
        weekend: what the planner was given.
        answer: the plan.
        folder: the project folder, for the part files.
        target: folder the files are written to; made if need be.
        now_s: the present moment.
        layouts: where everything lies, if that was improved; empty for the layouts of the planner.
        turns: how often each activity was done before (`calendar.turns_of`).
    """

    project: Project
    shop: Shop
    estimates: Mapping[str, Mapping[str, Estimate]]
    weekend: Weekend
    answer: Answer
    folder: Path
    target: Path
    now_s: int
    layouts: "tuple[RunLayout, ...]" = ()
    turns: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A file that was written.

    Attributes:
        kind: `sheet`, `bed`, `calendar`, `run-sheet`, `timeline` or `picture`.
        path: where it is.
        run: id of the run it is about; empty if it is about the whole plan.
    """

    kind: str
    path: Path
    run: str = ""


def left_over(target: Path, files: Iterable[Written]) -> tuple[Path, ...]:
    """Files of earlier exports that lie beside those just written, and could be made by mistake.

    Args:
        target: folder that was written to.
        files: what was written.
    """
    fresh = {file.path for file in files}
    found = (path for folder in (SHEETS, BEDS) for path in (target / folder).glob("*"))
    return tuple(sorted(p for p in found if p.suffix in MADE_ENDINGS and p not in fresh))


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A copy of a part where it lies, seen from above.

    Attributes:
        name: of the part.
        outlines: in mm from the lower left corner of the bed or sheet; the first is its border.
    """

    name: str
    outlines: "tuple[Outline, ...]"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Sketch:
    """A bed or sheet seen from above.

    Attributes:
        title: what it is.
        note: machine and size.
        size_mm: width and depth.
        is_sheet: whether it is cut; else it is printed on.
        laid: what lies on it.
        outline: border of a sheet that is no rectangle, in mm from the lower left corner.
        keep_out: borders of areas that stay free, likewise.
    """

    title: str
    note: str
    size_mm: tuple[float, float]
    is_sheet: bool
    laid: tuple[Laid, ...]
    outline: Border = ()
    keep_out: tuple[Border, ...] = ()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Card:
    """A run on the run sheet.

    Attributes:
        run: its id.
        title: its name.
        lines: machine and times, parts and copies, settings, files.
        picture: where a picture of it belongs, seen from the target; empty without a sketch.
        sketch: what it looks like; None where shapes are not known.
    """

    run: str
    title: str
    lines: tuple[str, ...]
    picture: str
    sketch: Sketch | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Something to do.

    Attributes:
        start, end: clock times.
        what: what to do.
        who: name of the person.
        place: name of the place.
        notes: why then, and until when it may wait.
    """

    start: str
    end: str
    what: str
    who: str
    place: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRows:
    """What is to be done on a day.

    Attributes:
        title: day and date.
        rows: in order of time.
    """

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RunSheet:
    """What to do in order, for paper.

    Attributes:
        title: name of the project.
        lead: how sure it is, what time is left, as of when.
        cautions: the usual ones for what is done.
        days: what hands do.
        cards: what lies on beds and sheets.
    """

    title: str
    lead: tuple[str, ...]
    cautions: tuple[str, ...]
    days: tuple[DayRows, ...]
    cards: tuple[Card, ...]
