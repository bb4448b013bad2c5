"""Other poses of a part that failed, each planned like the other choices. Heavy: imported when it runs."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from fabsched.advise.after_failure import turned_round, weighed_as
from fabsched.advise.options import Option
from fabsched.estimate.poses import Steadier, steadier_poses
from fabsched.files.parts import read_part
from fabsched.model.estimates import Estimate
from fabsched.model.log import Entry, Event, Remedy
from fabsched.model.materials import Filament
from fabsched.model.progress import Watch, check
from fabsched.model.project import Part
from fabsched.model.shapes import Mesh
from fabsched.model.shop import Printer
from fabsched.model.state import state_of
from fabsched.session.estimating import estimate_part
from fabsched.session.inputs import PoseInput
from fabsched.session.knowledge import knowledge_of
from fabsched.session.part_jobs import Digests, estimate_request
from fabsched.session.replanning import left_of, mass_g
from fabsched.session.requests import EstimateRequest
from fabsched.session.warming import make_ready

Posed = tuple[Option, str, Mapping[str, Estimate]]
"""A choice, and the part's estimates in that pose with the key they are kept by."""


def poses_weighed(given: PoseInput, watch: Watch) -> Iterator[Posed]:
    """Each pose in which less can go wrong, planned; none if there is none.

    Raises:
        InputError: the part's file is at fault.
        Cancelled: the watch said stop.
    """
    make_ready(watch)
    watch.report(0.0, "poses")
    part = next(part for part in given.project.parts if part.id == given.part)
    found = _looked_for(given, part, watch)
    if found is None:
        return
    for pose in found.others:
        check(watch)
        remedy = turned_round(given.subject, part, pose, found.now)
        posed = _posed(given, part, replace(remedy, was_deg=_filed_deg(given, part)), watch)
        if posed is not None:
            yield posed


def _filed_deg(given: PoseInput, part: Part) -> tuple[float, float, float]:
    """How the project's file has the part turned, before whatever the log says of it."""
    before = state_of(given.entries).turned.get(part.id)
    return before.was_deg if before and before.turn_deg == part.turn_deg else part.turn_deg


def _looked_for(given: PoseInput, part: Part, watch: Watch) -> Steadier | None:
    """Poses by their columns, on the machine it failed on; None for what is no solid."""
    asked = _asked(given, part)
    on = [m for m in asked.machines if m.id == given.machine] or asked.machines
    shape, _ = read_part(asked.path, part.unit)
    match shape, on[0], asked.material:
        case Mesh(), Printer() as printer, Filament() as filament:
            return steadier_poses(
                shape,
                printer,
                filament,
                part.turn_deg,
                where=part.file,
                limit=given.most,
                watch=watch,
            )
        case _:
            return None


def _asked(given: PoseInput, part: Part) -> EstimateRequest:
    return estimate_request(part, given.folder, given.shop, Digests())


def _posed(given: PoseInput, part: Part, remedy: Remedy, watch: Watch) -> Posed | None:
    """The choice as it is planned once it has been taken; None where no machine can make it so."""
    there = replace(part, turn_deg=remedy.turn_deg or part.turn_deg)
    asked = _asked(given, there)
    computed, _ = estimate_part(asked, watch)
    if not computed:
        return None
    known, machines = knowledge_of(given.seen), given.shop.machines
    fresh = {ident: known.estimate(each, machines.get(ident)) for ident, each in computed.items()}
    after = _with(given, there, fresh, remedy)
    ground = replace(given.ground, mass_g={**given.ground.mass_g, **mass_g({part.id: fresh})})
    option = weighed_as(ground, left_of(after).weekend, remedy, watch=watch)
    first = next(iter(fresh.values()))
    size_mm = (*first.footprint_mm, first.height_mm or 0.0)
    return replace(option, name=part.name, size_mm=size_mm), asked.key, computed


def _with(
    given: PoseInput, there: Part, fresh: Mapping[str, Estimate], remedy: Remedy
) -> PoseInput:
    """What would be planned if the choice had been taken."""
    parts = tuple(there if part.id == there.id else part for part in given.project.parts)
    ident = max((entry.id for entry in given.entries), default=0) + 1
    taken = Entry(
        kind=Event.CHOSEN,
        moment_s=given.now_s,
        noted_s=given.now_s,
        id=ident,
        subject=remedy.subject,
        remedy=remedy,
    )
    return replace(
        given,
        project=replace(given.project, parts=parts),
        estimates={**given.estimates, there.id: fresh},
        entries=(*given.entries, taken),
    )
