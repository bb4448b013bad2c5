"""Plates that part what is printed in two."""

import pytest

from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.parting import parted_by
from fabsched.advise.plates.splitting import Split, split
from tests.advise import bodies
from tests.estimate.bodies import of_manifold

BOX = bodies.bar(120, 80, 50) - bodies.bar(114, 74, 50, (3, 3, 3))


def divided(high: float, *, floor: bool = False) -> Split:
    """A box with a divider so high, of which the divider alone is cut, or the floor as well."""
    mesh = of_manifold(bodies.united([BOX, bodies.bar(3, 74, high, (60, 3, 3))]))
    bottom, *walls = find_plates(mesh, (3.0,)).slabs
    (divider,) = (slab for slab in walls if 50.0 < slab.body().bounding_box()[0] < 70.0)
    return split(mesh, [bottom, divider] if floor else [divider])


@pytest.mark.parametrize(("high", "plates"), [(47.0, (0,)), (40.0, ())])
def test_a_divider_as_high_as_its_box_parts_it(high: float, plates: tuple[int, ...]) -> None:
    """A lower one leaves the rim in one piece, and with it all that is printed."""
    done = divided(high)
    assert len(done.pieces) == 1 + len(plates)
    assert parted_by(done) == plates


def test_bosses_on_both_sides_are_no_halves() -> None:
    """What stands on a plate with bosses and ribs would be printed in pieces anyway."""
    mesh = bodies.composite()
    assert parted_by(split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs)) == ()


def test_halves_that_another_plate_joins_are_not_told() -> None:
    """With the floor cut as well, both halves stand on it: they are joined without the divider."""
    done = divided(47.0, floor=True)
    assert len(done.pieces) == 2
    assert parted_by(done) == ()
