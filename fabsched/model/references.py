"""Names a project uses for its own items: each defined once, none waiting for itself."""

from collections.abc import Iterable
from graphlib import CycleError, TopologicalSorter

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Gate, Part, Project, Work


def where_of(item: Part | Work, field: str) -> str:
    """A field of an item as the user knows it, for errors.

    >>> from fabsched.model.spread import Spread
    >>> where_of(Work(id="wire", name="Wire", minutes=Spread.exactly(10)), "after")
    "project.toml: work 'wire': after"
    """
    kind = "part" if isinstance(item, Part) else "gate" if isinstance(item, Gate) else "work"
    return f"project.toml: {kind} '{item.id}': {field}"


def check_references(project: Project) -> None:
    """Refuse a project that names items twice or not at all, or whose items wait in a circle.

    Raises:
        InputError: `NAME_TWICE`, `NAME_UNKNOWN` or `NEEDS_CIRCLE`.
    """
    known: set[str] = set()
    for item in project.items:
        if item.id in known:
            raise InputError(Fault.NAME_TWICE, where_of(item, "id"), name=item.id)
        known.add(item.id)
    for item in project.items:
        _check_known(item, "after", item.after, known)
    for gate in project.gates:
        _check_known(gate, "redo", gate.redo, known)
    _check_no_circle(project)


def _check_known(item: Part | Work, field: str, names: Iterable[str], known: set[str]) -> None:
    for name in names:
        if name not in known:
            facts = {"name": name, "known": ", ".join(sorted(known))}
            raise InputError(Fault.NAME_UNKNOWN, where_of(item, field), **facts)


def _check_no_circle(project: Project) -> None:
    items = {item.id: item for item in project.items}
    try:
        TopologicalSorter({ident: item.after for ident, item in items.items()}).prepare()
    except CycleError as error:
        # graphlib lists each before what waits for it; people read "waits for" from the left.
        circle: list[str] = error.args[1][::-1]
        where = where_of(items[circle[0]], "after")
        raise InputError(Fault.NEEDS_CIRCLE, where, circle=" → ".join(circle)) from None
