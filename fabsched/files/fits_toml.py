"""Critical dimensions of a part, components, and channels for wires, in TOML."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fabsched.files.names import readable
from fabsched.files.toml_read import (
    AnyText,
    Field,
    Fields,
    Ident,
    Idents,
    Number,
    Numbers,
    OneOf,
    Sizes,
    Text,
    Whole,
    malformed,
    read_fields,
    shown,
)
from fabsched.model.project import Axis, Channel, Component, Fit, FitKind

FARTHEST_MM = 10_000.0
"""Coordinates lie within this."""
MOST_COUNT = 100_000
"""Components of one kind; more are a slip of the pen."""
MOST_MM = 1000.0
"""Thickest cable and widest channel."""
FITS_EXAMPLE = '[{ id = "pin", at_mm = [10, 20, 5], size_mm = [4, 4, 10] }]'


@dataclass(frozen=True, slots=True)
class Place:
    """A point in a part's own coordinates."""

    example: str = "[10.0, 20.0, 5.0]"

    def read(self, value: object, where: str) -> tuple[float, ...]:
        """Its three coordinates in mm."""
        if not isinstance(value, list) or len(value) != 3:
            raise malformed(value, where, self.example)
        rule = Number(self.example, -FARTHEST_MM, FARTHEST_MM)
        return tuple(rule.read(number, where) for number in value)


@dataclass(frozen=True, slots=True)
class Ends:
    """Two points apart from each other, in a part's own coordinates."""

    example: str = "[[10.0, 20.0, 5.0], [15.0, 20.0, 5.0]]"

    def read(self, value: object, where: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Their coordinates in mm."""
        if not isinstance(value, list) or len(value) != 2:
            raise malformed(value, where, self.example)
        one, other = (Place().read(point, where) for point in value)
        if one == other:
            raise malformed(value, where, self.example)
        return one, other


@dataclass(frozen=True, slots=True)
class Fits:
    """Critical dimensions, as tables of their own or inline."""

    example: str = FITS_EXAMPLE

    def read(self, value: object, where: str) -> tuple[Fit, ...]:
        """The fits in their order."""
        tables = value if isinstance(value, list) else [None]
        if not all(isinstance(table, dict) for table in tables):
            raise malformed(value, where, self.example)
        return tuple(_fit(table, where, number) for number, table in enumerate(tables, start=1))


FIT: Fields = {
    "id": Field(Ident('"pin"'), required=True),
    "name": Field(Text('"Pin"')),
    "kind": Field(OneOf(FitKind)),
    "at_mm": Field(Place(), required=True),
    "size_mm": Field(Sizes("[4.0, 4.0, 10.0]", 3, 0.1, 1000.0), required=True),
    "axis": Field(OneOf(Axis)),
    "clearance_mm": Field(Number("0.2", -5, 5)),
    "gate": Field(Ident('"fit"', empty=True)),
    "ends_mm": Field(Ends()),
    "nominal_mm": Field(Number("5.2", 0.01, 10_000)),
    "tolerance_mm": Field(Number("0.1", 0, 10)),
    "measured_mm": Field(Number("5.14", 0.01, 10_000)),
    "fitting_mm": Field(Number("0.1", -5, 5)),
}
"""The fields of `[[part.fit]]`."""

COMPONENT: Fields = {
    "id": Field(Ident('"screws"'), required=True),
    "name": Field(Text('"M3 x 10 screws"')),
    "count": Field(Whole("12", 1, MOST_COUNT)),
    "spares": Field(Whole("3", 0, MOST_COUNT)),
    "have": Field(Whole("12", 0, MOST_COUNT)),
    "needed_by": Field(Idents('["assemble"]')),
    "delivery_days": Field(Whole("2", 0, 365)),
    "note": Field(AnyText('"flat side towards the edge"')),
}
"""The fields of `[[component]]`."""


def read_component(table: Mapping[str, object], where: str) -> Component:
    """One component.

    Raises:
        InputError: the table is at fault.
    """
    values = read_fields(table, COMPONENT, where)
    return Component(**{"name": readable(values["id"]), **values})


CHANNEL: Fields = {
    "id": Field(Ident('"duct"'), required=True),
    "name": Field(Text('"Duct to the roof"')),
    "cables_mm": Field(Numbers("[1.3, 1.3, 2.1]", 0.1, MOST_MM), required=True),
    "width_mm": Field(Number("8.0", 0.1, MOST_MM), required=True),
    "height_mm": Field(Number("6.0", 0.1, MOST_MM)),
}
"""The fields of `[[channel]]`."""


def read_channel(table: Mapping[str, object], where: str) -> Channel:
    """One channel for wires.

    Raises:
        InputError: the table is at fault.
    """
    values = read_fields(table, CHANNEL, where)
    return Channel(**{"name": readable(values["id"]), **values})


def fit_values(fit: Fit) -> dict[str, object]:
    """A fit's fields in the order people read them."""
    return {name: getattr(fit, name) for name in FIT}


def _fit(table: Mapping[str, Any], where: str, number: int) -> Fit:
    ident = table.get("id")
    name = f"'{shown(ident)}'" if isinstance(ident, str) else f"no. {number}"
    values = read_fields(table, FIT, f"{where} {name}")
    return Fit(**{"name": readable(values["id"]), **values})
