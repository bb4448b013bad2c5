"""The shipped table of filaments against published ranges."""

import pytest

from fabsched.files.materials_toml import filaments

TABLE = {filament.id: filament for filament in filaments([], "shop.toml")}


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("PLA", 1.21, 1.43),  # polymers.netzsch.com/Materials/Details/18; additive.tools (read)
        ("PETG", 1.25, 1.29),  # 24kjx.com.cn/news/915-en; additive.tools (read)
        ("ABS", 1.02, 1.08),  # 24kjx.com.cn/news/915-en (read)
        ("ASA", 1.05, 1.07),  # 24kjx.com.cn/news/915-en (read)
        ("TPU", 1.10, 1.25),  # from memory
    ],
)
def test_density(name: str, low: float, high: float) -> None:
    """Every density lies in its published range."""
    assert low <= TABLE[name].density_g_cm3 <= high


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("PLA", 45, 65),  # polymers.netzsch.com (read)
        ("PETG", 75, 85),  # additive.tools/materials/petg (read)
        ("ABS", 100, 110),  # engineersedge.com gives 105 (read)
    ],
)
def test_glass_transition(name: str, low: float, high: float) -> None:
    """Glass transitions lie in their published ranges."""
    assert low <= TABLE[name].glass_c <= high


def test_every_filament_names_its_sources() -> None:
    """No figure stands without a word on where it comes from."""
    assert set(TABLE) == {"PLA", "PETG", "ABS", "ASA", "TPU"}
    assert all("density" in f.source and "glass" in f.source for f in TABLE.values())


def test_warp_ranks() -> None:
    """ABS and ASA pull hardest off the bed, then PETG, PLA and TPU (common practice)."""
    ranks = sorted(TABLE.values(), key=lambda filament: -filament.warp)
    assert [filament.id for filament in ranks] == ["ABS", "ASA", "PETG", "PLA", "TPU"]
