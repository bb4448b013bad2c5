"""First figures of printed parts: what they are made from, and where there are none."""

from dataclasses import replace
from pathlib import Path

import pytest

from fabsched.files.stl import write_stl
from fabsched.model.project import Part
from fabsched.model.spread import Spread
from fabsched.session.part_jobs import Digests, estimate_request
from fabsched.session.requests import RoughRequest
from tests.estimate import bodies
from tests.session.test_estimating import BLOCK, SHOP

SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">'
    '<rect width="9" height="9"/></svg>'
)


def guess(part: Part, folder: Path) -> Spread | None:
    """What the request for a part comes back with."""
    asked = estimate_request(part, folder, SHOP, Digests())
    request = RoughRequest(
        part=asked.part, path=asked.path, where=asked.where, machines=asked.machines,
        material=asked.material, key=asked.key,
    )  # fmt: skip
    response = request.run()
    assert (response.id, response.key) == (request.id, asked.key)
    return response.seconds


def test_a_guess_is_within_its_own_doubt_of_the_estimate(tmp_path: Path) -> None:
    """The simulated layers take no less than the guess's P10 and no more than its P90."""
    write_stl(tmp_path / "block.stl", bodies.box(40, 30, 20))
    found = guess(BLOCK, tmp_path)
    estimates = estimate_request(BLOCK, tmp_path, SHOP, Digests()).run().estimates
    quickest = min(estimate.seconds.likely for estimate in estimates.values())
    assert found is not None
    assert found.low <= quickest <= found.high


def test_the_pose_counts(tmp_path: Path) -> None:
    """A bar takes another time standing than lying; turned all the way round it takes the same."""
    write_stl(tmp_path / "block.stl", bodies.box(100, 10, 10))
    lying = guess(BLOCK, tmp_path)
    standing = guess(replace(BLOCK, turn_deg=(0.0, 90.0, 0.0)), tmp_path)
    again = guess(replace(BLOCK, turn_deg=(0.0, 180.0, 0.0)), tmp_path)
    assert lying is not None
    assert standing is not None
    assert again is not None
    assert standing.likely != pytest.approx(lying.likely, rel=0.01)
    assert again.likely == pytest.approx(lying.likely, rel=1e-6)


def test_there_is_no_guess_of_what_cannot_be_read(tmp_path: Path) -> None:
    """A file cut short and a drawing: the estimate says what is to be said."""
    path = tmp_path / "block.stl"
    write_stl(path, bodies.box(10, 10, 10))
    path.write_bytes(path.read_bytes()[:-20])
    assert guess(BLOCK, tmp_path) is None
    (tmp_path / "plate.svg").write_text(SQUARE)
    assert guess(replace(BLOCK, file="plate.svg"), tmp_path) is None
