"""Sheets plates can be cut from."""

from dataclasses import dataclass

from fabsched.model.materials import Cutting, SheetMaterial
from fabsched.model.shop import Sheet, Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A sheet that can be had.

    Attributes:
        material: what it is made of.
        thickness_mm: its thickness.
        sheet: the one in hand; None if it has to be bought.
    """

    material: SheetMaterial
    thickness_mm: float
    sheet: Sheet | None = None


def stocks_of(shop: Shop) -> tuple[Stock, ...]:
    """One stock for each thickness: the first sheet in hand of it; what is known if none is in hand.

    Materials that must not be cut, or about which shops disagree, are left out.
    """
    materials = {m.id: m for m in shop.sheet_materials if m.cutting is Cutting.ALLOWED}
    found: dict[float, Stock] = {}
    for sheet in shop.sheets:
        if sheet.material in materials and sheet.count > 0:
            stock = Stock(
                material=materials[sheet.material], thickness_mm=sheet.thickness_mm, sheet=sheet
            )
            found.setdefault(sheet.thickness_mm, stock)
    if not found:
        for material in materials.values():
            for setting in material.settings:
                stock = Stock(material=material, thickness_mm=setting.thickness_mm)
                found.setdefault(setting.thickness_mm, stock)
    return tuple(found[thickness] for thickness in sorted(found))


def sheets_mm(shop: Shop) -> tuple[float, ...]:
    """Thicknesses of the sheets plates can be cut from, ascending."""
    return tuple(stock.thickness_mm for stock in stocks_of(shop))
