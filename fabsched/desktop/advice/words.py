"""What the page of advice says. No Qt here."""

from collections.abc import Iterator, Mapping
from zoneinfo import ZoneInfo

from fabsched.advise.counsel import (
    Advice,
    Counsel,
    Counselled,
    Early,
    Look,
    Need,
    TakeOut,
    WithCoupon,
)
from fabsched.advise.ready import Lack
from fabsched.session.clock import duration
from fabsched.session.odds_words import points_text
from fabsched.session.ready_words import by_text
from fabsched.session.wording import figure, phrase


def deed_text(told: Advice) -> str:
    """What the button of a piece of advice says; empty where it is up to hands."""
    match told.action:
        case TakeOut():
            return phrase("advice-take-out")
        case Need():
            spare = told.code is Counsel.SPARE
            return phrase("advice-plan-in" if spare else "advice-need")
        case Early():
            return phrase("advice-early")
        case WithCoupon():
            return phrase("advice-coupon")
        case None:
            return ""


def look_lines(told: Counselled) -> Iterator[str]:
    """What test prints and early checks win and cost."""
    for look in (*told.looks, *told.coupons):
        yield _look_text(look)


def _look_text(look: Look) -> str:
    hands, machine = (duration(max(0.0, seconds)) for seconds in (look.hands_s, look.machine_s))
    planned = phrase("look-planned" if look.taken else "look-open")
    number = points_text(look.gain.gain)
    return phrase(
        "look-text", what=look.name, planned=planned, points=number, hands=hands, machine=machine
    )


def lack_text(lack: Lack, names: Mapping[str, str], zone: ZoneInfo, now_s: int) -> str:
    """What has to be bought, by when and what for."""
    unit = f" {lack.unit}" if lack.unit else ""
    by = by_text(lack, zone, now_s)
    if lack.expected_s is None and not lack.is_too_late(now_s):
        by = phrase("buy-by", by=by)
    code = "buy-grams" if lack.unit else "buy" if lack.expected_s is None else "buy-awaited"
    what = phrase(
        code, count=f"{figure(lack.buy)}{unit}", what=lack.what, have=f"{figure(lack.have)}{unit}"
    )
    uses = names.get(lack.first, lack.first)
    rest = [phrase("buy-for", what=uses)] if uses else []
    spares = "" if lack.essential else f" {phrase('buy-spares')}"
    return "; ".join((what, by, *rest)) + f"{spares}."
