"""What a plan takes from stock, as plain records: light, and ready to be pickled."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class FilamentStock:
    """One filament.

    Attributes:
        material: its id.
        need_g: what all prints take, of a weekend under way those before included; those that may fail
            are not counted, those that did are, as far as they got.
        have_g: what all spools of it hold.
    """

    material: str
    need_g: float
    have_g: float

    @property
    def left_g(self) -> float:
        """What is left afterwards."""
        return max(0.0, self.have_g - self.need_g)

    @property
    def buy_g(self) -> float:
        """What has to be bought."""
        return max(0.0, self.need_g - self.have_g)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStock:
    """One kind of sheet.

    Attributes:
        stock: its id; empty if there is none such in the shop file.
        material: id of the material.
        thickness_mm: None where no part says it.
        size_mm: x and y; (0, 0) where shapes are not known, so that any will do.
        used: how many are taken, of a weekend under way those before included.
        have: how many there are.
    """

    stock: str
    material: str
    thickness_mm: float | None
    size_mm: tuple[float, float]
    used: int
    have: int

    @property
    def left(self) -> int:
        """How many are left afterwards."""
        return max(0, self.have - self.used)

    @property
    def buy(self) -> int:
        """How many have to be bought."""
        return max(0, self.used - self.have)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remnant:
    """What is left of a sheet that is cut: a rectangle worth keeping.

    Attributes:
        run: id of the run that cuts it.
        failed: whether it has failed, so that only what it had begun is gone.
        material, thickness_mm: of the sheet.
        at_mm: its lower left corner on the sheet.
        size_mm: x and y.
    """

    run: str
    failed: bool = False
    material: str
    thickness_mm: float | None
    at_mm: tuple[float, float]
    size_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """All of it.

    Attributes:
        filaments, sheets: what is taken, each kind once.
        remnants: what is left of the sheets that are cut.
    """

    filaments: tuple[FilamentStock, ...] = ()
    sheets: tuple[SheetStock, ...] = ()
    remnants: tuple[Remnant, ...] = ()
