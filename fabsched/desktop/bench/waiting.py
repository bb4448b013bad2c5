"""What a block waits for from outside. No Qt here."""

from dataclasses import dataclass

from fabsched.model.plan import Block
from fabsched.model.project import Component
from fabsched.model.weekend import Run
from fabsched.session.bench import Bench


@dataclass(frozen=True, slots=True)
class Awaited:
    """Something that was told not to be there before a moment.

    Attributes:
        subject: id of the component, or of what was told to start later itself.
        name: name shown.
    """

    subject: str
    name: str


def components_of(bench: Bench, block: Block) -> tuple[Component, ...]:
    """Components that what is done in a block needs; one that names nothing is needed by all."""
    mine = _mentioned(bench, block)
    components = bench.project.components
    return tuple(c for c in components if not c.needed_by or mine & {*c.needed_by})


def awaited_by(bench: Bench, block: Block) -> tuple[Awaited, ...]:
    """What has been told to come later and not to be there yet, of what a block needs."""
    held = {ident for ident, moment_s in bench.log.state.earliest_s.items() if moment_s}
    components = (Awaited(c.id, c.name) for c in components_of(bench, block) if c.id in held)
    own = sorted(_mentioned(bench, block) & held)
    return (*components, *(Awaited(ident, block.what) for ident in own))


def _mentioned(bench: Bench, block: Block) -> frozenset[str]:
    """Ids a block's activity may be called by: its own, and those of the items it is for."""
    activities = bench.weekend.activities if bench.weekend else ()
    found = next((a for a in activities if a.id == block.activity), None)
    if found is None:
        return frozenset({block.activity})
    items = (part for part, _ in found.cargo) if isinstance(found, Run) else (found.of,)
    return frozenset({found.id, *items})
