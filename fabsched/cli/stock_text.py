"""What has to be bought for a plan, as lines and as a document."""

from math import ceil
from typing import Any

from fabsched.session.stock_records import Stock
from fabsched.session.wording import figure, phrase, sides_text


def buy_lines(stock: Stock) -> tuple[str, ...]:
    """A line for each material that runs out; none if everything is in hand."""
    sheets = [
        phrase("buy-sheets", count=s.buy, sheet=_sheet(s.material, s.thickness_mm, s.size_mm))
        for s in stock.sheets
        if s.buy
    ]
    filaments = [
        phrase("buy-filament", grams=ceil(f.buy_g), material=f.material)
        for f in stock.filaments
        if f.buy_g > 0
    ]
    return (*sheets, *filaments)


def _sheet(material: str, thickness_mm: float | None, size_mm: tuple[float, float]) -> str:
    thickness = "" if thickness_mm is None else f" {figure(thickness_mm)} mm"
    size = f", {sides_text(size_mm)} mm" if all(size_mm) else ""
    return f"{material}{thickness}{size}"


def stock_document(stock: Stock) -> dict[str, Any]:
    """The stock of a plan: what is used, left and to be bought."""
    return {
        "filaments": [
            {
                "material": f.material,
                "used_g": f.need_g,
                "have_g": f.have_g,
                "left_g": f.left_g,
                "buy_g": f.buy_g,
            }
            for f in stock.filaments
        ],
        "sheets": [
            {
                "id": s.stock or None,
                "material": s.material,
                "thickness_mm": s.thickness_mm,
                "size_mm": list(s.size_mm) if all(s.size_mm) else None,
                "used": s.used,
                "have": s.have,
                "left": s.left,
                "buy": s.buy,
            }
            for s in stock.sheets
        ],
        "remnants": [
            {
                "run": r.run,
                "failed": r.failed,
                "material": r.material,
                "thickness_mm": r.thickness_mm,
                "at_mm": list(r.at_mm),
                "size_mm": list(r.size_mm),
            }
            for r in stock.remnants
        ],
    }
