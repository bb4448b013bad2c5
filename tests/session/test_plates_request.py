"""The first part with plates is found, whatever else lies in the project."""

from pathlib import Path

import pytest

from fabsched.files.shop_toml import read_shop
from fabsched.files.stl import write_stl
from fabsched.model.errors import Cancelled
from fabsched.model.estimates import Route
from fabsched.model.project import Part
from fabsched.model.shapes import Mesh
from fabsched.session.plates_request import PlatesRequest
from tests.advise import bodies


def request_for(folder: Path, sample: Path, **shapes: Mesh | None) -> PlatesRequest:
    """Parts of some shapes; None is a broken file."""
    parts = []
    for name, shape in shapes.items():
        path = folder / f"{name}.stl"
        if shape is None:
            path.write_text("solid x\n")
        else:
            write_stl(path, shape)
        parts.append(Part(id=name, name=name, file=path.name, route=Route.PRINT, material="PETG"))
    shop = read_shop(sample / "shop.toml")
    return PlatesRequest(parts=parts, folder=folder, shop=shop)


def test_the_first_part_with_plates_comes_first(tmp_path: Path, sample: Path) -> None:
    """Not a ball, not a broken file, not one that is only nearly a plate."""
    request = request_for(
        tmp_path,
        sample,
        ball=bodies.ball(),
        broken=None,
        thin=bodies.thinner(),
        panel=bodies.bracket(),
    )
    assert request.run().part == "panel"


def test_what_is_nearly_a_plate_is_better_than_none(tmp_path: Path, sample: Path) -> None:
    """2.8 mm where the sheet is 3; nothing at all for a ball."""
    assert (
        request_for(tmp_path, sample, ball=bodies.ball(), thin=bodies.thinner()).run().part
        == "thin"
    )
    assert request_for(tmp_path, sample, ball=bodies.ball()).run().part == ""


def test_it_stops_when_told_so(tmp_path: Path, sample: Path) -> None:
    """Nobody waits for it once a part is chosen."""

    class Stopping:
        def report(self, done: float, stage: str) -> None:
            """Ignore it."""

        def stopped(self) -> bool:
            """At once."""
            return True

    with pytest.raises(Cancelled):
        request_for(tmp_path, sample, ball=bodies.ball()).run(Stopping())
