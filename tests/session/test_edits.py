"""Changes to a project, as functions from one project to the next."""

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from fabsched.model.project import Fork, Gate, Part, Project, Way
from fabsched.model.references import check_references
from fabsched.model.spread import Spread
from fabsched.session.edits import without

PROJECT = Project(
    name="Stand",
    zone=ZoneInfo("UTC"),
    deadline=datetime(2027, 3, 7, 20, tzinfo=UTC),
    parts=tuple(Part(id=i, name=i, file=f"{i}.stl") for i in ("base", "plate", "hook")),
    gates=(
        Gate(id="trial", name="Trial", minutes=Spread.exactly(5), eases="test", redo=("hook",)),
        Gate(id="test", name="Test", minutes=Spread.exactly(5), redo=("base", "plate")),
    ),
    forks=(
        Fork(
            id="stand",
            name="Stand",
            ways=(
                Way(id="whole", name="Whole", items=("base",)),
                Way(id="pieces", name="Pieces", items=("plate", "hook")),
            ),
            chosen="whole",
        ),
    ),
)


def test_an_item_taken_out_is_mentioned_nowhere() -> None:
    """Whatever goes, the project stays sound: no way, gate or need speaks of it any more."""
    for item in PROJECT.items:
        left = without([item.id])(PROJECT)
        check_references(left)
        assert item.id not in repr(left)


def test_a_way_left_with_nothing_takes_its_fork_along() -> None:
    """Where only one way is left there is nothing to choose; the other items stay."""
    assert without(["base"])(PROJECT).forks == ()
    (fork,) = without(["hook"])(PROJECT).forks
    assert [way.items for way in fork.ways] == [("base",), ("plate",)]
    assert fork.chosen == "whole"


def test_a_coupon_takes_along_what_tries_it() -> None:
    """An early look at nothing is none; a look at something else as well stays, and so does a gate."""
    early = Gate(
        id="try", name="Try", minutes=Spread(1, 2, 3), after=("base",), chance=0.2, eases="fit"
    )
    fit = Gate(id="fit", name="Fit", minutes=Spread(1, 2, 3), after=("base",), chance=0.2)
    parts = (Part(id="base", name="Base", file="a.stl"), Part(id="lid", name="Lid", file="b.stl"))
    project = replace(PROJECT, parts=parts, works=(), gates=(early, fit), forks=())
    assert [gate.id for gate in without(["base"])(project).gates] == ["fit"]
    both = replace(project, gates=(replace(early, after=("base", "lid")), fit))
    assert [gate.id for gate in without(["base"])(both).gates] == ["try", "fit"]
