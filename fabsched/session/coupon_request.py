"""The request that cuts a coupon out of a part, and what puts it into the project."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from fabsched.advise.counsel import coupon_id
from fabsched.files.access import told
from fabsched.files.atomic import write_bytes_atomic
from fabsched.model.errors import Fault, InputError
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.project import Fit, Part, Project
from fabsched.session.compare_request import part_named
from fabsched.session.inputs import CouponInput
from fabsched.session.project_session import Session
from fabsched.session.requests import next_id

if TYPE_CHECKING:
    from fabsched.advise.coupon_items import PlannedCoupon  # brings in the compiler

LABEL = "add-coupon"
"""Name of the change, for undoing it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CouponResponse:
    """A coupon.

    Attributes:
        id: of the request.
        planned: its shape, its estimates and its place in the project.
    """

    id: int
    planned: "PlannedCoupon"


@dataclass(frozen=True, slots=True, kw_only=True)
class CouponRequest(CouponInput):
    """Cut a coupon out of a part and estimate it.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> CouponResponse:
        """Read the file, cut the box, estimate it.

        Raises:
            InputError: the file is at fault or no solid, or there is nothing of it at that place.
            Cancelled: the watch said stop.
        """
        from fabsched.session.coupon_making import coupon_for  # noqa: PLC0415 - heavy

        return CouponResponse(id=self.id, planned=coupon_for(self, watch))


def coupon_request(session: Session, ident: str, fit: str) -> CouponRequest:
    """Ask for the coupon of a critical dimension.

    Args:
        session: the open project.
        ident: id of a printed part.
        fit: id of one of its critical dimensions.

    Raises:
        InputError: there is no such part or dimension, or the part is cut.
    """
    part = part_named(session.project, ident)
    return CouponRequest(
        project=session.project,
        shop=session.shop,
        part=part,
        fit=fit_named(part, fit),
        path=session.folder / part.file,
    )


def fit_named(part: Part, ident: str) -> Fit:
    """The critical dimension of that id.

    Raises:
        InputError: the part has none such.
    """
    for fit in part.fits:
        if fit.id == ident:
            return fit
    known = ", ".join(fit.id for fit in part.fits) or "-"
    raise InputError(Fault.NAME_UNKNOWN, "FIT", name=ident, known=known)


def add_coupon(session: Session, planned: "PlannedCoupon") -> None:
    """Put a coupon into the project, before its part; the planner decides whether it is worth it.

    Its file goes into the project folder first; undoing leaves it there.

    Raises:
        InputError: it is there already, the file cannot be written, or the project not be saved.
    """
    part = part_named(session.project, planned.part)
    ident = coupon_id(part, planned.fit)
    if any(item.id == ident for item in session.project.items):
        raise InputError(Fault.NAME_TWICE, "FIT", name=ident)
    write_coupon(session.folder / planned.edit.coupon.file, planned.content)
    session.change(LABEL, planned.edit)


def remove_coupon(session: Session, ident: str, fit: str) -> str:
    """Take the coupon of a critical dimension out of the project, and the check of it.

    Args:
        session: the open project.
        ident: id of a printed part.
        fit: id of one of its critical dimensions.

    Returns:
        The id of the coupon.

    Raises:
        InputError: there is no such part, dimension or coupon, or the project cannot be saved.
    """
    part, project = part_named(session.project, ident), session.project
    coupon = coupon_id(part, fit_named(part, fit))
    if all(each.id != coupon for each in project.parts):
        raise InputError(Fault.NAME_UNKNOWN, "FIT", name=coupon, known=_coupons(project) or "-")
    checks = (gate.id for gate in project.gates if gate.after == (coupon,))
    session.remove([coupon, *checks])
    return coupon


def _coupons(project: Project) -> str:
    """Ids of the coupons there are."""
    known = {coupon_id(part, fit) for part in project.parts for fit in part.fits}
    return ", ".join(part.id for part in project.parts if part.id in known)


def write_coupon(path: Path, content: bytes) -> None:
    """Write a coupon's file, whole or not at all; the folder is made if it is missing.

    Raises:
        InputError: it cannot be written.
    """
    with told(str(path.parent), Fault.FILE_UNWRITABLE):
        path.parent.mkdir(parents=True, exist_ok=True)
    write_bytes_atomic(path, content)
