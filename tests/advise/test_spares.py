"""Spare bosses go where they help, where they are cheap, and where there is room."""

from dataclasses import replace

import numpy as np
import pytest

from fabsched.advise.plates.bending import gives
from fabsched.advise.plates.finding import find_plates
from fabsched.advise.plates.frames import solid_of
from fabsched.advise.plates.joinery import Press
from fabsched.advise.plates.spares import spares_for, with_spares
from fabsched.advise.plates.splitting import Split, split
from tests.advise import bodies
from tests.advise.test_making import ACRYLIC

MATERIALS = {3.0: ACRYLIC, 4.0: ACRYLIC}


def apart(name: str) -> Split:
    """A test part without its largest plate."""
    mesh = bodies.WITH_PLATES[name]()
    return split(mesh, find_plates(mesh, bodies.SHEETS_MM).slabs[:1])


@pytest.mark.parametrize("name", ["composite", "tilted"])
def test_a_spare_boss_holds_what_it_promises(name: str) -> None:
    """The plate on four bosses gets a fifth of their height, and gives less than the limit."""
    done = apart(name)
    bent = gives(done, MATERIALS, Press(limit_mm=0.5))
    spares = spares_for(done, bent)
    assert [spare.height_mm for spare in spares] == pytest.approx([10.0])
    more = with_spares(done, spares)
    (after,) = gives(more, MATERIALS, Press())
    # Promised by the compliance of the plate without it, found with its hole and a new grid.
    assert after.worst.sag_mm == pytest.approx(bent[0].bosses[0].sag_mm, rel=0.1)
    assert after.worst.sag_mm < 0.6 * bent[0].worst.sag_mm
    assert more.screws == done.screws + 1
    assert len(more.plates[0].rings) == len(done.plates[0].rings) + 1


@pytest.mark.parametrize("name", ["composite", "tilted"])
def test_spare_bosses_keep_the_balance(name: str) -> None:
    """What is added is counted, overlaps nothing, and stands on the plane of the others."""
    done = apart(name)
    more = with_spares(done, spares_for(done, gives(done, MATERIALS, Press())))
    assert more.balance.added > 0
    assert abs(more.balance.missing) < 1e-6 * more.balance.whole
    spare = solid_of(more.pieces[-1].mesh, "spare")
    others = [solid_of(p.mesh, "piece") for p in more.pieces[:-1]] + [p.body() for p in more.plates]
    assert all((spare ^ other).volume() < 1e-6 for other in others)
    normal = more.plates[0].slab.frame.axes[2]
    tops = [float((piece.mesh.vertices @ normal).max()) for piece in more.pieces[-5:]]
    assert np.ptp(tops) == pytest.approx(0.0, abs=0.05)


def test_what_is_stiff_enough_gets_none() -> None:
    """No boss without need."""
    done = apart("composite")
    assert spares_for(done, gives(done, MATERIALS, Press(force_n=1.0))) == ()
    assert with_spares(done, ()) is done


def test_there_is_none_where_there_is_no_room() -> None:
    """A place under a rib is not taken."""
    done = apart("composite")
    (give,) = gives(done, MATERIALS, Press())
    under_rib = replace(give.bosses[0], at_mm=(60.0, 46.0))
    assert spares_for(done, [replace(give, bosses=(under_rib,))]) == ()


def test_a_plate_that_stands_on_nothing_gets_none() -> None:
    """Without three screwed pieces of one height a boss would reach nowhere."""
    done = apart("double-sided")
    bent = gives(done, MATERIALS, Press(limit_mm=1e-3))
    assert spares_for(done, bent) == ()
