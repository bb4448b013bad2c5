"""After a failure: the part of cut plates and printed pieces, from the choice to the project."""

import pickle
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from fabsched.files.stl import write_stl
from fabsched.model.errors import Cancelled
from fabsched.model.log import Cure
from fabsched.model.state import Stint
from fabsched.model.weekend import Run
from fabsched.session.asking_poses import pieces_requests
from fabsched.session.bench import Bench
from fabsched.session.log_requests import (
    OptionResponse,
    PiecesRequest,
    PiecesResponse,
    ReplanResponse,
)
from fabsched.session.sayings import Saying, Verb
from fabsched.session.way_records import Pieces
from fabsched.session.ways import TAKE, standing, take
from tests.advise import bodies
from tests.estimate.bodies import box
from tests.session.made import NOW


def made(root: Path) -> Bench:
    """A bracket of two plates and a block, estimated and planned."""
    shapes = {"bracket.stl": bodies.bracket(), "block.stl": box(40, 40, 30)}
    for name, shape in shapes.items():
        write_stl(root / name, shape)
    bench = Bench.create(
        root / "box",
        name="Box",
        zone=NOW.tzinfo,  # type: ignore[arg-type] # a zone by name
        deadline=NOW + timedelta(days=2),
        files=[root / name for name in shapes],
        now=NOW,
        cache_folder=root / "cache",
    )
    return planned(bench, 0.0)


def planned(bench: Bench, hours: float) -> Bench:
    """The bench with everything estimated, and a plan from so many hours on."""
    for request in bench.estimate_requests():
        assert bench.accept(request.run())
    assert bench.accept(bench.plan_request(NOW + timedelta(hours=hours), quick=True).run())
    return bench


def failed(bench: Bench, part: str) -> Bench:
    """The run of a part has failed half an hour after its start, and the rest is planned."""
    for verb, minutes in ((Verb.START, 30), (Verb.FAIL, 60)):
        at_s = int(NOW.timestamp()) + 60 * minutes
        bench.tell(Saying(verb=verb, block=part, at_s=at_s, now_s=at_s))
    return planned(bench, 1.1)


def request_of(bench: Bench) -> PiecesRequest:
    """What is asked about the bracket, as another process gets it."""
    requests = pieces_requests(bench, bench.replanned)
    (mine,) = [request for request in requests if request.part == "bracket"]
    sent: PiecesRequest = pickle.loads(pickle.dumps(mine))  # noqa: S301 - what we have just written
    return sent


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """The bench after the bed with the bracket has failed; nothing is chosen yet."""
    return failed(made(tmp_path_factory.mktemp("piecing")), "bracket")


@pytest.fixture(scope="module")
def found(bench: Bench) -> PiecesResponse:
    """The bracket of plates and pieces."""
    return request_of(bench).run()


@pytest.fixture(scope="module")
def pieces(found: PiecesResponse) -> Pieces:
    """The best way."""
    assert found.pieces is not None
    return found.pieces


def test_it_is_weighed_like_the_other_choices(bench: Bench, pieces: Pieces) -> None:
    """As many weekends on the same luck, from now on; with its own time, mass and sheets."""
    option, others = pieces.option, [request.run() for request in bench.option_requests()]
    assert all(isinstance(other, OptionResponse) for other in others)
    again = next(o.option for o in others if o.option.remedy.cure is Cure.AGAIN)
    assert option.remedy.cure is Cure.FORK
    assert option.answer.odds.scenarios == again.answer.odds.scenarios
    assert bench.replanned is not None
    assert min(b.start_s for b in option.answer.course.blocks) >= bench.replanned.weekend.begin_s
    cut = [part for part in pieces.way.parts if part.thickness_mm is not None]
    assert len(option.sheets) >= 1
    assert len(cut) == len(pieces.way.pick) >= 1
    assert 0 < (option.mass_g or 0) < (again.mass_g or 0)
    assert option.hands_s > again.hands_s
    assert pieces.option.detail.startswith("Bracket of cut plates (no. ")


def test_only_what_holds_and_keeps_the_shape_is_offered(found: PiecesResponse) -> None:
    """Glue that would not hold and parts that are changed are left to the comparison."""
    assert found.pieces is not None
    assert all(glue.holds for glue in found.pieces.way.glue)
    assert not found.pieces.way.changes
    assert found.more


def _found(bench: Bench) -> ReplanResponse:
    """The rest of the weekend as it was planned last."""
    assert bench.replanned is not None
    return bench.replanned


def test_taking_it_plans_what_the_choice_said_and_one_undo_brings_the_choices_back(
    tmp_path: Path,
) -> None:
    """The failed print is no trouble any more, the rest is as it was foretold; one undo goes back."""
    bench = failed(made(tmp_path), "bracket")
    before = bench.project
    pieces = request_of(bench).run().pieces
    assert pieces is not None
    take(bench, pieces.part, pieces.way)
    assert standing(bench.project, "bracket") == ("plates", set(pieces.way.items))
    assert bench.undo_label == TAKE
    taken = _found(planned(bench, 1.1))
    assert taken.rest.trouble is None
    foretold = {block.activity for block in pieces.option.answer.course.blocks} - {""}
    assert foretold <= {activity.id for activity in taken.weekend.activities}
    items = {ident for each in taken.weekend.activities for ident in _items(each)}
    assert {part.id for part in pieces.way.parts} <= items
    assert "bracket" not in items
    on_time = pieces.option.answer.odds.on_time
    assert taken.answer.odds.on_time == pytest.approx(on_time, abs=0.03)

    bench.undo()
    assert bench.project == before
    back = _found(planned(bench, 1.1))
    assert back.rest.trouble is not None
    assert back.remedies


def _items(activity: object) -> tuple[str, ...]:
    return tuple(i for i, _ in activity.cargo) if isinstance(activity, Run) else ()


def test_what_has_no_plates_is_not_offered(tmp_path: Path) -> None:
    """A block is nothing that could be cut, and a comparison would not show more."""
    bench = failed(made(tmp_path), "block")
    requests = pieces_requests(bench, bench.replanned)
    (response,) = [request.run() for request in requests if request.part == "block"]
    assert response.pieces is None
    assert not response.more


def test_of_what_is_made_already_in_part_nothing_is_asked(bench: Bench) -> None:
    """All copies would be made the other way, those that are there as well."""
    assert bench.replanned is not None
    found, rest = bench.replanned, bench.replanned.rest
    assert rest.trouble is not None
    meant = bench.log.state.past[-1].meant
    stint = Stint(subject="bracket#2", meant=replace(meant, items=(("bracket", 1),)), start_s=None)
    begun = replace(found, rest=replace(rest, done={**rest.done, "bracket#2": stint}))
    assert "bracket" not in {request.part for request in pieces_requests(bench, begun)}
    assert not pieces_requests(bench, None)


class _Impatient:
    """Says stop as soon as ways are planned."""

    def __init__(self) -> None:
        self.stages = list[str]()

    def report(self, _: float, stage: str) -> None:
        self.stages.append(stage)

    def stopped(self) -> bool:
        return "comparing" in self.stages


def test_it_can_be_stopped(bench: Bench) -> None:
    """Progress is told, and the search ends when nobody waits for it any more."""
    watch = _Impatient()
    with pytest.raises(Cancelled):
        request_of(bench).run(watch)
    assert "comparing" in watch.stages
