"""What a pool would answer about a weekend under way, made up."""

from dataclasses import replace
from typing import Any

from fabsched.advise.options import Ground, Option
from fabsched.model.estimates import Route
from fabsched.model.log import Cure, Event, Remedy
from fabsched.model.plan import Answer, Block, Kind
from fabsched.model.project import Part, Work
from fabsched.model.spread import Spread
from fabsched.model.state import State, state_of
from fabsched.model.weekend import Activity, Run, Weekend
from fabsched.schedule.changes import in_hand, meanings
from fabsched.session.log_requests import (
    MeaningsRequest,
    MeaningsResponse,
    OptionRequest,
    OptionResponse,
    PiecesRequest,
    PiecesResponse,
    PoseRequest,
    PoseResponse,
    ReplanRequest,
    ReplanResponse,
)
from fabsched.session.replanned import Rest, Trouble
from fabsched.session.way_records import Pieces, ShownWay
from tests.desktop import made

CHANCES = {
    Cure.AGAIN: 0.61,
    Cure.MACHINE: 0.83,
    Cure.DROP: 0.97,
    Cure.CANCEL: 0.7,
    Cure.POSE: 0.9,
    Cure.FORK: 0.98,
}
"""How often the weekend is in time with each choice."""


SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><rect width="9" height="9"/></svg>'
"""A plate to be cut."""


def reply(request: Any) -> Any:
    """The answer to a request about a weekend under way; None to any other."""
    match request:
        case ReplanRequest():
            return _rest(request)
        case OptionRequest():
            return OptionResponse(id=request.id, option=_option(request))
        case PoseRequest():
            return PoseResponse(id=request.id, options=(_pose(request),), estimates={})
        case PiecesRequest():
            return PiecesResponse(
                id=request.id, part=request.part, pieces=_pieces(request), more=True
            )
        case MeaningsRequest():
            return MeaningsResponse(id=request.id, meant=meanings(made.weekend()))
        case _:
            return None


def _rest(request: ReplanRequest) -> ReplanResponse:
    state = state_of(request.entries)
    weekend, answer = left(state, request.now_s)
    trouble = _trouble(state)
    rest = Rest(
        weekend=weekend,
        answer=answer,
        in_hand=in_hand(answer, weekend),
        changes=(),
        kept_on_time=0.7,
        on_time=0.72,
        done=state.done,
        going=state.going,
        by_hand=(),
        trouble=trouble,
    )
    ground = Ground(weekend=weekend, plan=answer.plan, mass_g={"louvres": 30.0})
    return ReplanResponse(
        id=request.id,
        answer=answer,
        weekend=weekend,
        rest=rest,
        ground=ground,
        remedies=_remedies(trouble),
        first=_first(ground, trouble),
    )


def _first(ground: Ground, trouble: Trouble | None) -> Option | None:
    """The choice that is known with the plan."""
    remedies = _remedies(trouble)
    return _option(OptionRequest(ground=ground, remedy=remedies[0])) if remedies else None


def left(state: State, now_s: int) -> tuple[Weekend, Answer]:
    """What is left: nothing that is done or left out, what runs goes on, the rest from now on."""
    gone = state.done.keys() | state.dropped
    open_ = [block for block in made.blocks() if block.activity not in gone]
    late_s = max(0, now_s - min(block.start_s for block in open_))
    moved = (_moved(block, state, now_s, late_s) for block in open_)
    blocks = tuple(block for block in moved if block is not None)
    answer = made.answer()
    answer = replace(answer, course=replace(answer.course, blocks=blocks))
    activities = tuple(_laden(a) for a in made.weekend().activities if a.id not in gone)
    return replace(made.weekend(), begin_s=now_s, activities=activities), answer


def _laden(activity: Activity) -> Activity:
    """The louvres' bed holds a part of the project."""
    if activity.id == "louvres" and isinstance(activity, Run):
        return replace(activity, cargo=(("louvre", 6),))
    return activity


def _moved(block: Block, state: State, now_s: int, late_s: int) -> Block | None:
    if block.activity not in state.going:
        return replace(block, start_s=block.start_s + late_s, end_s=block.end_s + late_s)
    if block.kind is Kind.RUN:
        return replace(block, start_s=now_s, end_s=block.end_s + late_s)
    return None if block.id.endswith(".start") else block


def _trouble(state: State) -> Trouble | None:
    failed = [s for s in state.past if s.outcome is Event.FAILED]
    if not failed or failed[-1].subject in state.remedies.keys() | state.going.keys():
        return None
    return Trouble(failed[-1].subject, failed[-1].meant.machine)


def _remedies(trouble: Trouble | None) -> tuple[Remedy, ...]:
    if trouble is None:
        return ()
    return (
        Remedy(cure=Cure.AGAIN, subject=trouble.subject),
        Remedy(cure=Cure.MACHINE, subject=trouble.subject, machine="small"),
        Remedy(cure=Cure.DROP, subject=trouble.subject),
        Remedy(cure=Cure.CANCEL, subject="cradle"),
    )


def _option(request: OptionRequest) -> Option:
    remedy, weekend = request.remedy, request.ground.weekend
    answer = made.answer()
    return Option(
        remedy=remedy,
        name=weekend.activity(remedy.subject).name,
        detail=weekend.station(remedy.machine).name if remedy.machine else "",
        answer=replace(answer, odds=replace(answer.odds, on_time=CHANCES[remedy.cure])),
        hands_s=6 * 3600,
        machine_s=0 if remedy.cure is Cure.DROP else 12 * 3600,
        mass_g=None if remedy.cure is Cure.DROP else 180.0,
        spent_s=1800 if remedy.cure is Cure.CANCEL else 0,
        lost_g=12.4 if remedy.cure is Cure.CANCEL else None,
    )


def _pose(request: PoseRequest) -> Option:
    remedy = Remedy(
        cure=Cure.POSE,
        subject=request.subject,
        risk=0.7,
        part=request.part,
        turn_deg=(90.0, 0.0, 0.0),
    )
    option = _option(OptionRequest(ground=request.ground, remedy=remedy))
    return replace(option, size_mm=(90.0, 40.0, 12.0))


def _pieces(request: PiecesRequest) -> Pieces:
    """A plate with a piece on it, and the fitting."""
    plate = Part(
        id="louvre_plate1",
        name="Louvre plate, plate 1",
        file="parts/louvre_plate1.svg",
        route=Route.CUT,
        material="plywood",
        thickness_mm=3.0,
    )
    piece = Part(
        id="louvre_piece1",
        name="Louvre plate, piece 1",
        file="parts/louvre_piece1.stl",
        route=Route.PRINT,
        material="PLA",
    )
    fit = Work(
        id="louvre_fit",
        name="Fit the louvre plate",
        minutes=Spread(5, 8, 15),
        after=(plate.id, piece.id),
    )
    remedy = Remedy(
        cure=Cure.FORK, subject=request.subject, part=request.part, detail="Louvre plate of plates"
    )
    option = _option(OptionRequest(ground=request.ground, remedy=remedy))
    way = ShownWay(
        pick=(0,),
        parts=(plate, piece),
        works=(fit,),
        own_files={plate.file: SVG, piece.file: b"solid x\nendsolid x\n"},
    )
    option = replace(option, detail=remedy.detail, sheets=("plywood 3 mm",))
    return Pieces(part=request.part, option=option, way=way)
