"""From a part's file to a coupon. Heavy: imported when a request runs."""

from fabsched.advise.coupon_items import CouponNames, PlannedCoupon, planned_coupon
from fabsched.advise.coupons import with_play
from fabsched.files.parts import read_part
from fabsched.files.stl import stl_bytes
from fabsched.model.errors import Fault, InputError
from fabsched.model.progress import Watch
from fabsched.model.shapes import Mesh
from fabsched.session.inputs import CouponInput
from fabsched.session.warming import make_ready
from fabsched.session.wording import phrase


def coupon_for(given: CouponInput, watch: Watch) -> PlannedCoupon:
    """Cut a coupon out of a part and estimate it.

    Raises:
        InputError: the file is at fault or no solid, or there is nothing of it at that place.
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    return planned_coupon(
        given.project,
        given.part,
        given.fit,
        _solid(given, watch),
        given.shop,
        names=coupon_names(),
        watch=watch,
    )


def with_copy(given: CouponInput, play_mm: float, watch: Watch) -> bytes:
    """The file of a part that has as much more play as a copy of its coupon.

    Raises:
        InputError: the file is at fault or no solid, or there is nothing of it at that place.
        Cancelled: the watch said stop.
    """
    solid = _solid(given, watch)
    return stl_bytes(with_play(solid, given.fit, play_mm, where=given.part.file))


def _solid(given: CouponInput, watch: Watch) -> Mesh:
    watch.report(0.0, "reading")
    shape, _ = read_part(given.path, given.part.unit)
    if not isinstance(shape, Mesh):
        raise InputError(Fault.PLATES_NEED_SOLID, given.part.file, known="STL, 3MF, OBJ, PLY, STEP")
    return shape


def coupon_names() -> CouponNames:
    """What coupons and their checks are called in the language spoken."""
    fill = {"part": "{part}", "fit": "{fit}"}
    return CouponNames(
        coupon=phrase("coupon-name", **fill), check=phrase("coupon-check-name", **fill)
    )
