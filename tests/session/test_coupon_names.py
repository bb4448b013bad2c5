"""What coupons and their checks are called in a project."""

import pytest

from fabsched.advise.coupon_items import CouponNames
from fabsched.session import language
from fabsched.session.coupon_making import coupon_names


@pytest.mark.parametrize(
    ("code", "coupon", "check"),
    [
        ("en", "Lid {a}: hole, coupon", "Lid {a}: hole, try the coupon"),
        ("de", "Lid {a}: hole, Probest\u00fcck", "Lid {a}: hole, Probest\u00fcck probieren"),
    ],
)
def test_they_are_named_in_the_language_spoken(
    monkeypatch: pytest.MonkeyPatch, code: str, coupon: str, check: str
) -> None:
    """Names of part and dimension stand in them as they are, braces and all."""
    monkeypatch.setenv(language.VARIABLE, code)
    names = coupon_names()
    assert names.coupon.format(part="Lid {a}", fit="hole") == coupon
    assert names.check.format(part="Lid {a}", fit="hole") == check
    assert code != "en" or names == CouponNames(), "what is named without being told is English"
