"""What the plan takes from a spool or a pile of sheets."""

from fabsched.files.shop_text import Record
from fabsched.model.errors import Fact
from fabsched.model.shop import Sheet, Spool
from fabsched.session.stock_records import FilamentStock, SheetStock, Stock
from fabsched.session.wording import phrase


def stock_text(stock: Stock | None, record: Record) -> str:
    """What the plan takes, what is left, and what has to be bought; nothing for all but stock.

    Args:
        stock: what the plan takes; None while there is no plan.
        record: the spool or the sheets.
    """
    if stock is None or not isinstance(record, Spool | Sheet):
        return ""
    if isinstance(record, Spool):
        taken = (entry for entry in stock.filaments if entry.material == record.material)
        return _filament_text(next(taken, None), record.material)
    return _sheet_text(next((entry for entry in stock.sheets if entry.stock == record.id), None))


def _filament_text(taken: FilamentStock | None, material: str) -> str:
    if taken is None:
        return phrase("stock-unused")
    facts: dict[str, Fact] = {
        "material": material,
        "need": round(taken.need_g),
        "have": round(taken.have_g),
    }
    if taken.buy_g:
        return phrase("stock-filament-buy", **facts, buy=round(taken.buy_g))
    return phrase("stock-filament", **facts, left=round(taken.left_g))


def _sheet_text(taken: SheetStock | None) -> str:
    if taken is None:
        return phrase("stock-unused")
    if taken.buy:
        return phrase("stock-sheet-buy", need=taken.used, have=taken.have, buy=taken.buy)
    return phrase("stock-sheet", need=taken.used, have=taken.have, left=taken.left)
