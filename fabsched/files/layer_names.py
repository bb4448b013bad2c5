"""What is done along the lines of each layer: by the project's word, else by the layer's name."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from fabsched.model.errors import Fact, Fault, InputError
from fabsched.model.findings import Finding, Remark
from fabsched.model.operations import Layers, Operation

OPERATIONS: Mapping[str, Operation] = {operation.value: operation for operation in Operation}
"""Which operation a layer, group or class stands for, by the beginning of its name."""
MOST_TOLD = 12
"""Layers named in one line; more make it unreadable."""
UNNAMED = "(no layer)"
"""What lines are called that belong to no layer."""


def operation_of(name: str, operations: Mapping[str, Operation] = OPERATIONS) -> Operation | None:
    """What a name asks for: the operation of the longest key it begins with, in any case."""
    low = name.lower()
    fitting = [key for key in operations if low.startswith(key.lower())]
    return operations[max(fitting, key=len)] if fitting else None


@dataclass(slots=True)
class LayerBook:
    """The layers of one file, and what the project wants done along each.

    A name the project gives counts as a whole, in any case, and goes before anything else. Layers
    it does not name go by the beginning of their own name (`engrave 2`); all others are cut.

    Attributes:
        wanted: what the project says.
        where: the file, for errors and findings.
    """

    wanted: Layers
    where: str
    _wanted: dict[str, Operation] = field(default_factory=dict)
    _known: dict[str, str] = field(default_factory=dict)
    _done: dict[str, Operation] = field(default_factory=dict)
    _own: dict[str, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Fold the names, so that case does not count."""
        self._wanted.update({name.casefold(): operation for name, operation in self.wanted})

    def meet(self, names: Iterable[str]) -> None:
        """Note names the file holds, so that names it does not hold can be told."""
        for name in names:
            self._known.setdefault(name.casefold(), name)

    def asked(self, names: Iterable[str]) -> Operation | None:
        """What the project wants done along lines of these names; the first it names counts."""
        found = (self._wanted.get(name.casefold()) for name in names)
        return next((operation for operation in found if operation is not None), None)

    def note(self, layer: str, operation: Operation, *, own: bool) -> None:
        """Note what is done along a line.

        Args:
            layer: the layer it lies on; empty if on none.
            operation: what is done.
            own: whether project or name say so; else it is only cut for want of a word.
        """
        name = layer or UNNAMED
        self._done.setdefault(name, operation)
        self._own[name] = self._own.get(name, True) and own

    def done(self) -> Layers:
        """The layers with lines on them, and what is done along each; lines on none left out.

        Layers the project wants ignored come last.
        """
        ignored = (
            (self._known[name], operation)
            for name, operation in self._wanted.items()
            if operation is Operation.IGNORE and name in self._known
        )
        return tuple(pair for pair in (*self._done.items(), *ignored) if pair[0] != UNNAMED)

    def findings(self) -> tuple[Finding, ...]:
        """The layers, if there are several and one of them is cut for want of a word.

        Raises:
            InputError: the project names a layer that is not in the file.
        """
        self._check_known()
        if len(self._done) < 2 or all(self._own.values()):
            return ()
        told = [f"{name} ({operation})" for name, operation in self._done.items()]
        shown = ", ".join([*told[:MOST_TOLD], *(["…"] if len(told) > MOST_TOLD else [])])
        facts: dict[str, Fact] = {"count": len(told), "layers": shown}
        return (Finding(code=Remark.LAYERS_FOUND, where=self.where, facts=facts),)

    def _check_known(self) -> None:
        for name, _ in self.wanted:
            if name.casefold() not in self._known:
                known = _listed(list(self._known.values()))
                raise InputError(
                    Fault.NAME_UNKNOWN, f"{self.where}: layers", name=name, known=known
                )


def _listed(names: Sequence[str]) -> str:
    shown = [*names[:MOST_TOLD], *(["…"] if len(names) > MOST_TOLD else [])]
    return ", ".join(shown) or "none"
