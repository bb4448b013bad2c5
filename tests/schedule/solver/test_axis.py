"""Open time and the outer line it lies on."""

from hypothesis import given
from hypothesis import strategies as st

from fabsched.model.windows import Windows
from fabsched.schedule.solver.axis import Axis

LENGTH = 200


@st.composite
def windows(draw: st.DrawFn) -> Windows:
    """One window or more."""
    spans = draw(st.lists(st.tuples(st.integers(0, LENGTH), st.integers(1, 30)), min_size=1))
    return Windows.of((start, start + length) for start, length in spans)


@given(windows(), st.data())
def test_there_and_back(open_: Windows, data: st.DataObject) -> None:
    """An open moment is the outer start of the open time passed until it."""
    axis = Axis(open_.spans)
    inner = data.draw(st.integers(0, axis.length - 1))
    assert open_.is_open(axis.outer_start(inner))
    assert axis.inner(axis.outer_start(inner)) == inner


@given(windows(), st.integers(0, LENGTH))
def test_inner_time_is_open_time_passed(open_: Windows, moment: int) -> None:
    """As windows count it."""
    assert Axis(open_.spans).inner(moment) == open_.open_s(0, moment)


@given(windows())
def test_pauses_make_up_the_rest(open_: Windows) -> None:
    """From the first opening to the last closing it is open or a pause."""
    axis = Axis(open_.spans)
    pauses = sum(pause.length for pause in axis.pauses)
    assert axis.length + pauses == open_.spans[-1][1] - axis.origin


@given(windows(), windows())
def test_within_keeps_what_both_have_open(open_: Windows, other: Windows) -> None:
    """As long as the time both are open, in windows apart from each other."""
    inner = Axis(open_.spans).within(other)
    assert inner.length == sum(end - start for start, end in open_ & other)
    assert Windows(inner.spans).spans == inner.spans


@given(windows(), windows(), st.integers(1, 20))
def test_starts_are_those_that_fit(open_: Windows, other: Windows, seconds: int) -> None:
    """Open time from which something fits into a window both have open, and no other."""
    axis, both = Axis(open_.spans), open_ & other
    starts = axis.starts(both, seconds)
    for inner in range(axis.length):
        outer = axis.outer_start(inner)
        fits = both.first_fit(outer, seconds) == outer
        assert fits == any(first <= inner <= last for first, last in starts)
