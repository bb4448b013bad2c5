"""The copy of a coupon that fits: the part drawn as that copy was, and what that tells the log."""

from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import count
from pathlib import Path

from fabsched.model.errors import Fault, InputError
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.project import Fit, FitKind, Gate, Part, Point
from fabsched.session.bench import Bench
from fabsched.session.coupon_request import coupon_request, write_coupon
from fabsched.session.edits import put_all
from fabsched.session.fit_edits import with_fit
from fabsched.session.fit_outcomes import PLAY_MM, check_of, tries
from fabsched.session.inputs import CouponInput
from fabsched.session.project_session import Session
from fabsched.session.requests import next_id
from fabsched.session.sayings import Saying, Verb
from fabsched.session.wording import phrase

LABEL = "measure-fit"
"""Name of the change, for undoing it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyResponse:
    """A part with the play of the copy that fits.

    Attributes:
        id: of the request.
        part: id of the part.
        fit: the critical dimension as it was.
        play_mm: how much more play than drawn.
        content: what belongs into its file.
    """

    id: int
    part: str
    fit: Fit
    play_mm: float
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyRequest(CouponInput):
    """Give a part the play of the copy that fits.

    Attributes:
        play_mm: how much more play than drawn, over the whole width; below zero for less.
        id: number of the request.
    """

    play_mm: float
    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> CopyResponse:
        """Read the file and change the solid, as it was changed for that copy.

        Raises:
            InputError: the file is at fault or no solid, or there is nothing of it at that place.
            Cancelled: the watch said stop.
        """
        from fabsched.session.coupon_making import with_copy  # noqa: PLC0415 - heavy

        content = with_copy(self, self.play_mm, watch)
        return CopyResponse(
            id=self.id, part=self.part.id, fit=self.fit, play_mm=self.play_mm, content=content
        )


def has_ladder(fit: Fit) -> bool:
    """Whether the coupon of a dimension comes as several copies."""
    return fit.clearance_mm is not None and fit.kind is not FitKind.OTHER


def play_of(fit: Fit, number: int, where: str) -> float:
    """The play of a copy, by its number from the left, from 1.

    Raises:
        InputError: the coupon of that dimension has no such copy.
    """
    most = len(PLAY_MM) if has_ladder(fit) else 1
    if not 1 <= number <= most:
        raise InputError(Fault.FIELD_OUT_OF_RANGE, where, value=number, low=1, high=most)
    return PLAY_MM[number - 1] if has_ladder(fit) else 0.0


def copy_request(session: Session, ident: str, fit: str, play_mm: float) -> CopyRequest:
    """Ask for a part with the play of the copy that fits.

    Args:
        session: the open project.
        ident: id of a printed part.
        fit: id of one of its critical dimensions.
        play_mm: how much more play than drawn.

    Raises:
        InputError: there is no such part or dimension.
    """
    asked = coupon_request(session, ident, fit)
    return CopyRequest(
        project=asked.project,
        shop=asked.shop,
        part=asked.part,
        fit=asked.fit,
        path=asked.path,
        play_mm=play_mm,
    )


def take_copy(session: Session, made: CopyResponse) -> str:
    """Let a part be made as the copy that fits was, in one step that undo takes back.

    The part gets a file of its own, beside the one it had; undoing leaves it there. What was measured
    of the drawing before no longer counts.

    Returns:
        The new file.

    Raises:
        InputError: there is no such part, the file cannot be written, or the project not be saved.
    """
    part = next((each for each in session.project.parts if each.id == made.part), None)
    if part is None:
        raise InputError(Fault.NAME_UNKNOWN, "PART", name=made.part, known="-")
    file = _free_file(f"parts/{part.id}-{made.fit.id}-fits", session.folder)
    write_coupon(session.folder / file, made.content)
    drawn = replace(with_fit(part, redrawn(made.fit, made.play_mm)), file=file, unit="mm")
    session.change(LABEL, put_all([drawn]))
    return file


def note_copy(session: Session, part: Part, fit: Fit) -> None:
    """Note that the copy as drawn fits: there is nothing to draw otherwise.

    Raises:
        InputError: the project cannot be saved.
    """
    session.change(LABEL, put_all([with_fit(part, replace(fit, fitting_mm=0.0))]))


def redrawn(fit: Fit, play_mm: float) -> Fit:
    """A critical dimension of a part that was drawn with more play: it fits as drawn now.

    What it should measure stays; the points it is measured between move with the surfaces.
    """
    wider = -play_mm if fit.kind is FitKind.PEG else play_mm
    ends = _moved(fit.ends_mm, wider) if fit.ends_mm else None
    return replace(fit, nominal_mm=fit.wanted_mm, ends_mm=ends, measured_mm=None, fitting_mm=0.0)


def _moved(ends: tuple[Point, Point], by_mm: float) -> tuple[Point, Point]:
    """Two points that much further apart, about their middle."""
    (x0, y0, z0), (x1, y1, z1) = ends
    span = ((x1 - x0) ** 2 + (y1 - y0) ** 2 + (z1 - z0) ** 2) ** 0.5
    share = 0.5 * by_mm / span if span else 0.0
    dx, dy, dz = (share * (b - a) for a, b in zip(*ends, strict=True))
    one = (round(x0 - dx, 3), round(y0 - dy, 3), round(z0 - dz, 3))
    return one, (round(x1 + dx, 3), round(y1 + dy, 3), round(z1 + dz, 3))


def _free_file(stem: str, folder: Path) -> str:
    """A name no file of the project has, so that undoing finds what it had."""
    names = (f"{stem}.stl" if number == 1 else f"{stem}-{number}.stl" for number in count(1))
    return next(name for name in names if not (folder / name).exists())


def open_check(bench: Bench, part: Part, fit: Fit) -> Gate | None:
    """The check that a dimension decides, while the log can be told of it."""
    gate, plan = check_of(bench.project, part, fit), bench.log.in_hand
    if gate is None or plan is None or gate.id in bench.log.state.done:
        return None
    return gate if bench.knows_meanings() and gate.id in dict(plan.meant) else None


def open_try(bench: Bench, part: Part, fit: Fit) -> Gate | None:
    """The trying of its coupon, while the log can be told of it."""
    gate = open_check(bench, part, fit)
    return gate if gate is not None and tries(gate, part, fit) else None


def passed(gate: Gate, fit: Fit, play_mm: float, now: datetime) -> Saying:
    """What the log is told when a copy fits: what there was to find out is known."""
    now_s = int(now.timestamp())
    why = phrase("copy-why", what=fit.name, number=number_of(play_mm))
    return Saying(verb=Verb.FINISH, block=gate.id, at_s=now_s, now_s=now_s, why=why)


def number_of(play_mm: float) -> int:
    """Number of the copy with a play, from 1."""
    return min(range(len(PLAY_MM)), key=lambda place: abs(PLAY_MM[place] - play_mm)) + 1
