"""A plan into files: sheets, beds, calendar, run sheet. Heavy: imported when a request runs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fabsched.estimate.cut_settings import CutSpeeds, cut_speeds
from fabsched.estimate.cut_sheet import sheet_paths, visits
from fabsched.estimate.placing import place
from fabsched.estimate.turning import turned as stood
from fabsched.files.access import told
from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.calendar_out import write_calendar
from fabsched.files.dxf_out import write_dxf
from fabsched.files.names import slug
from fabsched.files.parts import read_part
from fabsched.files.stl import write_stl
from fabsched.files.svg_out import write_svg
from fabsched.files.threemf_out import BedObject, joined, write_3mf
from fabsched.model.errors import Fault, InputError
from fabsched.model.progress import Watch, check
from fabsched.model.project import Part
from fabsched.model.shapes import Drawing, Mesh, Outline, Shape, turned
from fabsched.nest.records import Placement
from fabsched.schedule.layouts import RunLayout, layouts_of
from fabsched.schedule.names import Namer
from fabsched.schedule.nesting import outline_of
from fabsched.schedule.sheet_runs import lying_on
from fabsched.session.calendar import calendar_events
from fabsched.session.export_records import BEDS, SHEETS, ExportInput, Laid, RunSheet, Written
from fabsched.session.run_sheet import RunFacts, run_sheet, run_sheet_text

CALENDAR, RUN_SHEET_TEXT = "calendar.ics", "run-sheet.txt"

Exported = tuple[tuple[Written, ...], RunSheet, tuple[str, ...]]
"""Files, what belongs on paper, and names of runs without files."""


def export(given: ExportInput, watch: Watch) -> Exported:
    """Write the files of a plan.

    Returns:
        The files that were written, the run sheet, and names of runs that have none.

    Raises:
        InputError: a part file is at fault, or a file cannot be written.
        Cancelled: the watch said stop.
    """
    exporter = _Exporter(given)
    made = exporter.runs(watch)
    sheet = run_sheet(given, tuple(made))
    written = [file for facts in made for file in facts.files]
    written += [_calendar(given), _text(given, sheet)]
    bare = (facts.run.name for facts in made if not facts.files and not facts.source)
    return tuple(written), sheet, tuple(bare)


def _calendar(given: ExportInput) -> Written:
    path = given.target / CALENDAR
    name = given.project.name
    events = calendar_events(given.weekend, given.answer, given.shop, given.turns)
    write_calendar(path, events, name=name, project=name, now_s=given.now_s)
    return Written(kind="calendar", path=path)


def _text(given: ExportInput, sheet: RunSheet) -> Written:
    path = given.target / RUN_SHEET_TEXT
    write_bytes_atomic(path, run_sheet_text(sheet).encode())
    return Written(kind="run-sheet", path=path)


def make_folder(path: Path) -> None:
    """Make a folder if there is none.

    Raises:
        InputError: it cannot be made.
    """
    with told(str(path), Fault.FILE_UNWRITABLE):
        path.mkdir(parents=True, exist_ok=True)


@dataclass(slots=True)
class _Exporter:
    """Writes the files of runs; every part file is read once.

    Attributes:
        given: what is exported.
    """

    given: ExportInput
    _shapes: dict[str, Shape] = field(default_factory=dict)
    _stems: Namer = field(default_factory=lambda: Namer(()))

    def runs(self, watch: Watch) -> list[RunFacts]:
        """Write the files of every run that is not dropped."""
        given = self.given
        make_folder(given.target)
        answer = given.answer
        wanted = given.layouts or layouts_of(
            given.project, given.shop, given.estimates, answer.course, answer.plan
        )
        made = []
        for number, layout in enumerate(wanted):
            watch.report(number / len(wanted), "exporting")
            check(watch)
            made.append(self._run(layout))
        return made

    def _run(self, layout: RunLayout) -> RunFacts:
        if not layout.placements:
            return RunFacts(run=layout.run, machine=layout.machine, source=self._source(layout))
        is_sheet = isinstance(self._shape(layout.placements[0].id), Drawing)
        return self._sheet(layout) if is_sheet else self._bed(layout)

    def _source(self, layout: RunLayout) -> str:
        """The part file that is run as it stands, for prints that come prepared."""
        ident = layout.run.cargo[0][0]
        estimate = self.given.estimates.get(ident, {}).get(layout.machine)
        return self._part(ident).file if estimate and estimate.whole_run else ""

    def _sheet(self, layout: RunLayout) -> RunFacts:
        """Write a sheet as DXF and SVG."""
        speeds = self._speeds(layout)
        known = {p.id: self.given.estimates[p.id][layout.machine] for p in layout.placements}
        lying = lying_on(known, layout.placements)
        drawn = [self._drawing(p.id) for p in layout.placements]
        paths = sheet_paths(list(zip(lying, drawn, strict=True)), speeds.kerf_mm)
        stem = self._stem(SHEETS, layout)
        files = [self.given.target / f"{stem}{ending}" for ending in (".dxf", ".svg")]
        marks = (*((layout.outline,) if layout.outline else ()), *layout.keep_out)
        write_dxf(files[0], paths, layout.size_mm, marks)
        write_svg(files[1], paths, layout.size_mm, marks)
        order = tuple(dict.fromkeys(visit.part for visit in reversed(visits(lying))))[::-1]
        return RunFacts(
            run=layout.run,
            machine=layout.machine,
            stem=stem,
            size_mm=layout.size_mm,
            speeds=speeds,
            files=tuple(Written(kind="sheet", path=f, run=layout.run.id) for f in files),
            laid=tuple(self._laid(layout, order)),
            numbered=len(order) > 1,
            outline=layout.outline,
            keep_out=layout.keep_out,
        )

    def _laid(self, layout: RunLayout, order: Sequence[int]) -> Iterator[Laid]:
        """The copies on a sheet in the order in which they come loose, numbered by it."""
        for number, spot in enumerate(order, 1):
            placement = layout.placements[spot]
            name = self._part(placement.id).name
            told = f"{number} {name}" if len(order) > 1 else name
            yield Laid(told, _laid(self._drawing(placement.id), placement).outlines)

    def _bed(self, layout: RunLayout) -> RunFacts:
        """Write a bed as 3MF and STL."""
        objects = [self._object(ident, layout) for ident, _ in layout.run.cargo]
        stem = self._stem(BEDS, layout)
        files = [self.given.target / f"{stem}{ending}" for ending in (".3mf", ".stl")]
        write_3mf(files[0], objects)
        write_stl(files[1], joined(objects))
        return RunFacts(
            run=layout.run,
            machine=layout.machine,
            stem=stem,
            size_mm=layout.size_mm,
            files=tuple(Written(kind="bed", path=f, run=layout.run.id) for f in files),
            laid=tuple(self._silhouettes(layout)),
            keep_out=layout.keep_out,
            numbered=self._one_by_one(layout),
        )

    def _object(self, ident: str, layout: RunLayout) -> BedObject:
        part, shape = self._part(ident), self._shape(ident)
        if not isinstance(shape, Mesh):
            raise _changed(part)
        poses = tuple(_pose(p) for p in layout.placements if p.id == ident)
        return BedObject(part.name, place(stood(shape, part.turn_deg), part.file).mesh, poses)

    def _one_by_one(self, layout: RunLayout) -> bool:
        """Whether a bed is printed part by part; one copy alone needs no order."""
        printers = self.given.shop.printers
        serial = any(each.one_by_one for each in printers if each.id == layout.machine)
        return serial and len(layout.placements) > 1

    def _silhouettes(self, layout: RunLayout) -> Iterator[Laid]:
        serial = self._one_by_one(layout)
        for number, placement in enumerate(layout.placements, 1):
            estimate = self.given.estimates[placement.id][layout.machine]
            rings = (outline_of(estimate), *estimate.openings_mm)
            name = self._part(placement.id).name
            yield Laid(
                f"{number} {name}" if serial else name,
                tuple(Outline(_ring(placement, np.array(r)), closed=True) for r in rings),
            )

    def _speeds(self, layout: RunLayout) -> CutSpeeds:
        shop, part = self.given.shop, self._part(layout.run.cargo[0][0])
        laser = next(laser for laser in shop.lasers if laser.id == layout.machine)
        material = next(m for m in shop.sheet_materials if m.id == part.material)
        return cut_speeds(laser, material, part.thickness_mm or 0.0, where=part.file)

    def _drawing(self, ident: str) -> Drawing:
        shape = self._shape(ident)
        if not isinstance(shape, Drawing):
            raise _changed(self._part(ident))
        return shape

    def _part(self, ident: str) -> Part:
        return next(part for part in self.given.project.parts if part.id == ident)

    def _shape(self, ident: str) -> Shape:
        if ident not in self._shapes:
            part = self._part(ident)
            path = self.given.folder / part.file
            try:
                self._shapes[ident] = read_part(path, part.unit, part.layers)[0]
            except InputError as error:
                where = error.where.replace(str(path), part.file)
                raise InputError(error.code, where, **error.facts) from error
        return self._shapes[ident]

    def _stem(self, folder: str, layout: RunLayout) -> str:
        """Where the files of a run go, seen from the target, without their endings."""
        make_folder(self.given.target / folder)
        return f"{folder}/{self._stems.fresh(slug(layout.run.id))}"


def _changed(part: Part) -> InputError:
    """The error for a file that holds something else than when it was estimated."""
    return InputError(Fault.FILE_NOT_OF_KIND, part.file, kind=str(part.route))


def _laid(drawing: Drawing, placement: Placement) -> Drawing:
    """A drawing where a copy lies on its sheet."""
    return Drawing(
        tuple(
            Outline(_ring(placement, path.points_mm), closed=path.closed, operation=path.operation)
            for path in drawing.outlines
        )
    )


def _ring(placement: Placement, points: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(
        turned(points, placement.turn_deg) + np.array([placement.x_mm, placement.y_mm])
    )


def _pose(placement: Placement) -> NDArray[np.float64]:
    """The placement as a matrix for row vectors, (4, 4)."""
    pose = np.eye(4)
    pose[:2, :2] = turned(np.eye(2), placement.turn_deg)
    pose[3, :2] = placement.x_mm, placement.y_mm
    return pose
