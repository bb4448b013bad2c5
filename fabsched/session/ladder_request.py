"""The request that draws a ladder of test cuts and writes its files."""

from dataclasses import dataclass, field
from pathlib import Path

from fabsched.model.findings import Finding
from fabsched.model.ladder import Ladder
from fabsched.model.materials import SheetMaterial
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.shop import Laser
from fabsched.session.export_records import Sketch
from fabsched.session.requests import next_id


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderResponse:
    """A ladder that was written.

    Attributes:
        id: of the request.
        ladder: what it tries.
        sketch: what it looks like, every square with its number.
        size_mm: of the strip.
        seconds: machine time.
        files: drawings, and the file for noting the outcome, which is the last.
        findings: what had to be guessed.
    """

    id: int
    ladder: Ladder
    sketch: Sketch
    size_mm: tuple[float, float]
    seconds: float
    files: tuple[Path, ...]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderRequest:
    """Draw a ladder and write it.

    Attributes:
        laser: the machine.
        material: of the sheet.
        thickness_mm: of the sheet.
        feed_mm_s: the middle feed; None takes what is known.
        passes: how often each line is run over; None takes what is known.
        target: folder the files go to.
        id: number of the request.
    """

    laser: Laser
    material: SheetMaterial
    thickness_mm: float
    feed_mm_s: float | None
    passes: int | None
    target: Path
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> LadderResponse:  # noqa: ARG002 - it is done at once
        """Draw and write.

        Raises:
            InputError: the material must not be cut, nothing is known of it, the strip does not
                fit, or a file cannot be written.
        """
        from fabsched.session.ladders import ladder_sketch, put_out  # noqa: PLC0415 - heavy

        made = put_out(
            self.laser,
            self.material,
            self.thickness_mm,
            self.target,
            feed_mm_s=self.feed_mm_s,
            passes=self.passes,
        )
        return LadderResponse(
            id=self.id,
            ladder=made.drawn.ladder,
            sketch=ladder_sketch(made.drawn, self.laser),
            size_mm=made.drawn.size_mm,
            seconds=made.drawn.seconds,
            files=made.files,
            findings=made.drawn.findings,
        )
