"""What beds are called."""

from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.weekend import Run
from fabsched.schedule.names import bed_names
from tests.schedule.test_decisions import part, planned


@given(st.lists(st.integers(1, 12), min_size=2, max_size=9))
def test_every_copy_is_on_one_bed_and_names_say_which(beds: list[int]) -> None:
    """Read back from the names, the copies are all there, each once and in order."""
    total = sum(beds)
    copies: list[int] = []
    for name in bed_names("Foot", beds, 0, total):
        which, of = name.removeprefix("Foot ").split("/")
        first, _, last = which.partition("\u2013")
        copies += range(int(first), int(last or first) + 1)
        assert int(of) == total
    assert copies == list(range(1, total + 1))


def test_beds_as_usual_and_beds_taken_apart_are_named_alike() -> None:
    """Both by which copies lie on them, so that one can be told from the other in one plan."""
    _, found = planned(part("foot", copies=4, per_run=2))
    names = {a.name: a.cargo for a in found.activities if isinstance(a, Run)}
    assert {name.split(" ", 1)[1] for name in names} >= {"1\u20132/4", "3\u20134/4", "1/4", "2/4"}
    assert all(cargo == (("foot", 2 if "\u2013" in name else 1),) for name, cargo in names.items())
