"""Cut parts onto sheets."""

from collections import Counter
from dataclasses import replace

import pytest

from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Estimate, Route
from fabsched.model.project import Part
from fabsched.model.shop import Laser, Shop
from fabsched.model.spread import Spread
from fabsched.model.weekend import Run
from fabsched.schedule.names import Namer
from fabsched.schedule.sheets import cut_sheets
from tests.schedule.projects import SHOP, estimate

MINUTES = Spread(60, 120, 240)


def part(ident: str, copies: int = 1, material: str = "acrylic", **more: object) -> Part:
    """A cut part of 3 mm."""
    made = Part(id=ident, name=ident, file="", copies=copies, route=Route.CUT, material=material)
    return replace(made, thickness_mm=3.0, **more)  # type: ignore[arg-type]  # fields of a part


def cut(*parts: Part, size_mm: tuple[float, float] = (90, 90), shop: Shop = SHOP) -> list[Run]:
    """The runs for parts of one size."""
    estimates: dict[str, dict[str, Estimate]] = {
        each.id: {laser.id: estimate(laser.id, MINUTES, size_mm) for laser in shop.lasers}
        for each in parts
    }
    return [sheet.run for sheet in cut_sheets(parts, estimates, shop, Namer([]))[0]]


def cargoes(runs: list[Run]) -> list[dict[str, int]]:
    """What lies on each sheet."""
    return [dict(run.cargo) for run in runs]


def test_parts_of_one_material_share_sheets() -> None:
    """Three by two squares of 90 mm fit a sheet of 300 by 200 mm; the rest takes another."""
    runs = cut(part("lid", 5), part("back", 3))
    assert len(runs) == 2
    assert sum((Counter(cargo) for cargo in cargoes(runs)), Counter()) == {"lid": 5, "back": 3}
    assert [run.name for run in runs] == ["acrylic 3 mm 1/2", "acrylic 3 mm 2/2"]


@pytest.mark.parametrize(
    "other", [{"material": "plywood"}, {"thickness_mm": 4.0}, {"after": ("lid",)}]
)
def test_parts_that_differ_do_not_share(other: dict[str, object]) -> None:
    """Another material, thickness or need asks for a sheet of its own."""
    odd = replace(part("back"), **other)  # type: ignore[arg-type]  # fields of a part
    assert cargoes(cut(part("lid"), odd)) == [{"lid": 1}, {"back": 1}]


def test_sheets_of_one_kind_are_numbered_through() -> None:
    """Ids stay apart where needs keep parts of one material apart."""
    assert [run.id for run in cut(part("lid"), part("back", after=("lid",)))] == [
        "acrylic-3-sheet-1",
        "acrylic-3-sheet-2",
    ]


def test_sheet_holds_no_more_than_wanted() -> None:
    """`per_run` bounds the copies of a part on one sheet, not those of others."""
    assert cargoes(cut(part("lid", 3, per_run=2), part("back", 2))) == [
        {"back": 2, "lid": 2},
        {"lid": 1},
    ]


def test_bed_stands_in_for_a_sheet_not_in_hand() -> None:
    """Without sheets of the kind, or with too small ones, the bed is taken to be covered."""
    assert len(cut(part("lid", 12), shop=replace(SHOP, sheets=()))) == 1
    assert len(cut(part("lid"), size_mm=(500, 300))) == 1


def test_sheet_is_needed_if_any_part_on_it_is() -> None:
    """An optional part may share a needed sheet; alone its sheet is optional."""
    spare = part("spare", needed=False)
    assert [cut(part("lid"), spare)[0].needed, cut(spare)[0].needed] == [True, False]


def test_fastest_laser_is_preferred_and_the_smallest_bed_counts() -> None:
    """A sheet may be cut on any laser that can cut all of it."""
    tiny = Laser(id="ray2", name="Tiny", place="hall", bed_mm=(100, 100))
    runs = cut(part("lid", 2), shop=replace(SHOP, lasers=(*SHOP.lasers, tiny), sheets=()))
    assert [[choice.machine for choice in run.choices] for run in runs] == [["ray", "ray2"]] * 2


def test_refuses_what_fits_no_sheet() -> None:
    """A part larger than the bed is refused."""
    with pytest.raises(InputError) as caught:
        cut(part("lid"), size_mm=(700, 20))
    assert caught.value.code == Fault.PART_TOO_LARGE
    assert caught.value.where == "project.toml: part 'lid': file"


def test_part_of_unknown_shape_gets_its_own_sheet() -> None:
    """With its minutes known and no estimate, as many copies as wanted go on one sheet."""
    known = part("lid", 4, per_run=2, minutes=Spread(1, 2, 3))
    runs = [sheet.run for sheet in cut_sheets([known], {}, SHOP, Namer([]))[0]]
    assert cargoes(runs) == [{"lid": 2}, {"lid": 2}]
    assert runs[0].choices[0].seconds == Spread(120, 240, 360)
