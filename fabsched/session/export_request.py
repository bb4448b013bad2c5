"""The request that writes a plan's files."""

from dataclasses import dataclass, field

from fabsched.model.progress import UNWATCHED, Watch
from fabsched.session.export_records import ExportInput, RunSheet, Written
from fabsched.session.requests import next_id


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportResponse:
    """What was written, and what is left to be drawn by whoever can.

    Attributes:
        id: of the request.
        written: the files.
        run_sheet: what belongs on paper, with a sketch for each bed and sheet.
        shapeless: names of runs that have no files, since the shape of a part is not known.
    """

    id: int
    written: tuple[Written, ...]
    run_sheet: RunSheet
    shapeless: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ExportRequest(ExportInput):
    """Write sheets, beds, calendar and the run sheet's text.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> ExportResponse:
        """Lay everything out as the planner did, and write it.

        Raises:
            InputError: a part file is at fault, or a file cannot be written.
            Cancelled: the watch said stop.
        """
        from fabsched.session.exporting import export  # noqa: PLC0415 - heavy

        written, run_sheet, shapeless = export(self, watch)
        return ExportResponse(id=self.id, written=written, run_sheet=run_sheet, shapeless=shapeless)
