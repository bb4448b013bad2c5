"""A coupon in the plan: the part it becomes, and the check that eases a later gate."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from fabsched.advise.counsel import WithCoupon, coupon_id
from fabsched.advise.coupons import Coupon, coupon_of
from fabsched.advise.plates.making import filament_of
from fabsched.advise.plates.substituting import fresh_ids
from fabsched.estimate.printing import estimate_print
from fabsched.files.stl import stl_bytes
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate
from fabsched.model.progress import UNWATCHED, Watch, check
from fabsched.model.project import Fit, Gate, Part, Project
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Shop
from fabsched.model.spread import Spread

LEFT = 0.25
"""Share of a gate's chance that is left once a coupon has passed: it shows the dimension itself, and
neither warp nor what lies beyond its box (own assumption)."""
OUT_OF_REACH = 0.2
"""Share of bad fits at which no copy of a ladder fits either, so that another coupon is wanted. Printed
holes come out 0.1 to 0.4 mm too narrow (common practice, from memory); the ladder reaches to half a
step beyond 0.3 mm: a sixth of them lies outside, rounded up (own assumption)."""
CHECK_MINUTES = Spread(3.0, 5.0, 10.0)
"""Hands for trying a coupon, and for noting which copy fits (own assumption)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CouponNames:
    """What a coupon and its check are called in the project; `{part}` and `{fit}` are filled in.

    Attributes:
        coupon: of the coupon.
        check: of trying it.
    """

    coupon: str = "{part}: {fit}, coupon"
    check: str = "{part}: {fit}, try the coupon"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlannedCoupon:
    """A coupon, made and estimated.

    Attributes:
        part: id of its part.
        fit: the critical dimension.
        coupon: its shape.
        edit: puts it into the project.
        content: what belongs into its file.
        estimates: of the coupon, by machine.
    """

    part: str
    fit: Fit
    coupon: Coupon
    edit: WithCoupon
    content: bytes
    estimates: Mapping[str, Estimate] = field(default_factory=dict)


def planned_coupon(  # noqa: PLR0913 - what it is cut out of, and what it is for
    project: Project,
    part: Part,
    fit: Fit,
    mesh: Mesh,
    shop: Shop,
    *,
    names: CouponNames = CouponNames(),
    watch: Watch = UNWATCHED,
) -> PlannedCoupon:
    """Cut a coupon, estimate it on every printer, and find its place in the project.

    Args:
        project: the project.
        part: a printed part of it.
        fit: one of its critical dimensions.
        mesh: the part as drawn.
        shop: its printers make it.
        names: what coupon and check are called.
        watch: told of the progress; may stop the computation.

    Raises:
        InputError: the part has gaps, there is nothing of it at that place, or no printer can.
        Cancelled: the watch said stop.
    """
    watch.report(0.0, "coupons")
    coupon = coupon_of(mesh, fit, turn_deg=part.turn_deg, where=part.file)
    edit = _edit(project, part, fit, names, copies=len(coupon.steps_mm))
    estimates = _estimates(coupon, edit.coupon, shop, watch)
    return PlannedCoupon(
        part=part.id,
        fit=fit,
        coupon=coupon,
        edit=edit,
        content=stl_bytes(coupon.mesh),
        estimates=estimates,
    )


def gate_of(project: Project, part: Part, fit: Fit) -> Gate | None:
    """The gate that would find a bad fit: the one named, else the first that redoes the part."""
    named = [gate for gate in project.gates if gate.id == fit.gate]
    others = [gate for gate in project.gates if part.id in gate.redo and not gate.eases]
    return next(iter((*named, *others)), None)


def _edit(project: Project, part: Part, fit: Fit, names: CouponNames, *, copies: int) -> WithCoupon:
    fresh = fresh_ids(project)
    ident = fresh(coupon_id(part, fit))
    coupon = Part(
        id=ident,
        name=names.coupon.format(part=part.name, fit=fit.name),
        file=f"parts/{ident}.stl",
        material=part.material,
        needed=False,
        unit="mm",
    )
    gate = gate_of(project, part, fit)
    look = _look(coupon, part, fit, gate, fresh, names)
    if look is not None and copies > 1:
        # Another copy that fits is as good as the one as drawn: the part is made like it.
        look = replace(
            look, chance=round(look.chance * OUT_OF_REACH, 3), shows=round(look.chance, 3)
        )
    return WithCoupon(part=part.id, coupon=coupon, look=look)


def _look(
    coupon: Part,
    part: Part,
    fit: Fit,
    gate: Gate | None,
    fresh: Callable[[str], str],
    names: CouponNames,
) -> Gate | None:
    if gate is None:
        return None
    return Gate(
        id=fresh(f"{part.id}-{fit.id}-check"),
        name=names.check.format(part=part.name, fit=fit.name),
        minutes=CHECK_MINUTES,
        after=(coupon.id,),
        needed=False,
        chance=gate.chance * (1.0 - LEFT),
        redo=(coupon.id,),
        eases=gate.id,
        left=LEFT,
    )


def _estimates(coupon: Coupon, part: Part, shop: Shop, watch: Watch) -> dict[str, Estimate]:
    filament = filament_of(part, shop)
    found: dict[str, Estimate] = {}
    for printer in shop.printers:
        check(watch)
        found[printer.id] = estimate_print(coupon.mesh, printer, filament, where=part.file)
    if not found:
        raise InputError(Fault.NO_MACHINE, part.file, route=str(part.route))
    return found
