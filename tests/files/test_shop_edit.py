"""Noting an own cut setting in a shop file."""

from datetime import date

import pytest

from fabsched.files.resources import resource
from fabsched.files.shop_edit import shop_text_with
from fabsched.files.shop_toml import parse_shop
from fabsched.model.errors import Fault, InputError
from fabsched.model.materials import CutSetting
from fabsched.model.spread import Spread

OWN = CutSetting(
    thickness_mm=3.0,
    power_w=60.0,
    feed_mm_s=Spread(8.0, 9.0, 10.0),
    pierce_s=0.3,
    passes=2,
    kerf_mm=0.14,
    source="own test cut 2026-11-25",
    measured=date(2026, 11, 25),
)
WITH_TABLES = """\
# mine
currency = "CHF"

[[sheet_material]]
id = "plywood"
density_g_cm3 = 0.7   # weighed

[[sheet_material.setting]]
thickness_mm = 3
power_w = 60
feed_mm_s = 11
pierce_s = 0.2
passes = 1
kerf_mm = 0.2

[[sheet_material.setting]]
thickness_mm = 4
power_w = 60
feed_mm_s = 7
pierce_s = 0.2
passes = 1
kerf_mm = 0.2

[[place]]
id = "home"   # stays
"""
WITHOUT_SETTINGS = '[[sheet_material]]\nid = "plywood"\n\n[[place]]\nid = "home"\n'
IN_A_LINE = """\
[[sheet_material]]
id = "plywood"
setting = [{ thickness_mm = 4, power_w = 60, feed_mm_s = 7, pierce_s = 0.2, passes = 1, kerf_mm = 0.2 }]
"""
SHIPPED = resource("shop/shop.toml").read_text("utf-8")


@pytest.mark.parametrize("text", [SHIPPED, WITH_TABLES, WITHOUT_SETTINGS, IN_A_LINE, ""])
@pytest.mark.parametrize("material", ["plywood", "acrylic"])
def test_the_setting_is_there_and_all_else_stays(text: str, material: str) -> None:
    """Read again the shop differs by that setting alone; comments are kept; twice changes nothing."""
    edited = shop_text_with(text, material, OWN)
    for line in text.splitlines():
        if "#" in line:
            assert line in edited
    before, after = parse_shop(text), parse_shop(edited)
    for old, new in zip(before.sheet_materials, after.sheet_materials, strict=True):
        gone = [s for s in old.settings if s not in new.settings]
        fresh = [s for s in new.settings if s not in old.settings]
        assert fresh == ([OWN] if new.id == material else [])
        assert all(s.thickness_mm == 3.0 and new.id == material for s in gone)
    assert parse_shop(shop_text_with(edited, material, OWN)) == after


def test_a_setting_of_another_power_stays() -> None:
    """Each laser of a shop has its own."""
    weak = CutSetting(
        thickness_mm=3.0,
        power_w=40.0,
        feed_mm_s=Spread.exactly(5.0),
        pierce_s=0.3,
        passes=1,
        kerf_mm=0.1,
    )
    text = shop_text_with(shop_text_with("", "plywood", weak), "plywood", OWN)
    plywood = next(m for m in parse_shop(text).sheet_materials if m.id == "plywood")
    assert {weak, OWN} <= set(plywood.settings)


def test_a_faulty_shop_file_is_left_alone() -> None:
    """Its own fault is told."""
    with pytest.raises(InputError) as caught:
        shop_text_with('[[place]]\nid = "home"\nhors = "24/7"\n', "plywood", OWN)
    assert caught.value.code is Fault.FIELD_UNKNOWN
