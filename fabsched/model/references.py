"""Names a project uses for its own items: each defined once, none waiting for itself."""

from collections.abc import Iterable
from graphlib import CycleError, TopologicalSorter

from fabsched.model.errors import Fault, InputError
from fabsched.model.project import Channel, Component, Fork, Gate, Part, Pin, Project, Way, Work


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
        InputError: `NAME_TWICE`, `NAME_UNKNOWN`, `NEEDS_CIRCLE`, `EASES_CIRCLE` or
            `ITEM_IN_TWO_WAYS`.
    """
    known: set[str] = set()
    for item in project.items:
        _name_once(item.id, known, where_of(item, "id"))
    for item in project.items:
        _check_known(item, "after", item.after, known)
    for gate in project.gates:
        _check_known(gate, "redo", gate.redo, known)
    _check_no_circle(project)
    _check_eases(project.gates)
    _check_forks(project.forks, known)
    _check_components(project.components, known)
    _check_channels(project.channels)
    _check_pins(project.pins)
    for part in project.parts:
        _check_fits(part, {gate.id for gate in project.gates})


def _check_known(item: Part | Work, field: str, names: Iterable[str], known: set[str]) -> None:
    for name in names:
        _check_among(name, known, where_of(item, field))


def _name_once(name: str, seen: set[str], where: str) -> None:
    """Take a name among those seen.

    Raises:
        InputError: it is among them already.
    """
    if name in seen:
        raise InputError(Fault.NAME_TWICE, where, name=name)
    seen.add(name)


def _check_among(name: str, known: Iterable[str], where: str) -> None:
    if name not in known:
        facts = {"name": name, "known": ", ".join(sorted(known))}
        raise InputError(Fault.NAME_UNKNOWN, where, **facts)


def _check_no_circle(project: Project) -> None:
    items = {item.id: item for item in project.items}
    try:
        TopologicalSorter({ident: item.after for ident, item in items.items()}).prepare()
    except CycleError as error:
        # graphlib lists each before what waits for it; people read "waits for" from the left.
        circle: list[str] = error.args[1][::-1]
        where = where_of(items[circle[0]], "after")
        raise InputError(Fault.NEEDS_CIRCLE, where, circle=" → ".join(circle)) from None


def _check_eases(gates: Iterable[Gate]) -> None:
    """What a gate eases is another gate, and they do not ease each other in a circle."""
    eases = {gate.id: gate.eases for gate in gates}
    for gate in gates:
        where = where_of(gate, "eases")
        if gate.eases:
            _check_among(gate.eases, eases.keys() - {gate.id}, where)
        chain = [gate.id]
        while (following := eases[chain[-1]]) and following not in chain[1:]:
            chain.append(following)
            if following == gate.id:
                raise InputError(Fault.EASES_CIRCLE, where, circle=" → ".join(chain))


def _check_forks(forks: Iterable[Fork], items: set[str]) -> None:
    """Forks and their ways have names of their own, and share no items."""
    seen: set[str] = set()
    taken: dict[str, str] = {}
    for fork in forks:
        where = f"project.toml: fork '{fork.id}'"
        _name_once(fork.id, seen, f"{where}: id")
        if fork.chosen:
            _check_among(fork.chosen, {way.id for way in fork.ways}, f"{where}: chosen")
        _check_ways(fork.ways, where, items, taken)


def _check_ways(ways: Iterable[Way], where: str, items: set[str], taken: dict[str, str]) -> None:
    """The ways of one fork.

    Args:
        ways: of the fork.
        where: the fork, for errors.
        items: ids of all items.
        taken: collects which way each item is in.
    """
    seen: set[str] = set()
    for way in ways:
        here = f"{where}: way '{way.id}'"
        _name_once(way.id, seen, f"{here}: id")
        for item in way.items:
            _check_among(item, items, f"{here}: items")
            if item in taken:
                facts = {"name": item, "way": taken[item]}
                raise InputError(Fault.ITEM_IN_TWO_WAYS, f"{here}: items", **facts)
            taken[item] = way.name


def _check_components(components: Iterable[Component], items: set[str]) -> None:
    """Components have names of their own, and are needed by items there are."""
    seen: set[str] = set()
    for component in components:
        where = f"project.toml: component '{component.id}'"
        _name_once(component.id, seen, f"{where}: id")
        for item in component.needed_by:
            _check_among(item, items, f"{where}: needed_by")


def _check_channels(channels: Iterable[Channel]) -> None:
    """Channels have names of their own."""
    seen: set[str] = set()
    for channel in channels:
        _name_once(channel.id, seen, f"project.toml: channel '{channel.id}': id")


def _check_pins(pins: Iterable[Pin]) -> None:
    """There is one pin for each thing; what it names is known only when it is planned."""
    seen: set[str] = set()
    for pin in pins:
        _name_once(pin.id, seen, f"project.toml: pin '{pin.id}': id")


def _check_fits(part: Part, gates: set[str]) -> None:
    """Fits of a part have names of their own, and name gates there are."""
    seen: set[str] = set()
    for fit in part.fits:
        where = f"{where_of(part, 'fit')} '{fit.id}'"
        _name_once(fit.id, seen, f"{where}: id")
        if fit.gate:
            _check_among(fit.gate, gates, f"{where}: gate")
