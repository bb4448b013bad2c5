"""What was changed, to be taken back and done again."""

from dataclasses import dataclass, field

from fabsched.model.project import Project
from fabsched.session.shop_book import ShopChange


@dataclass(frozen=True, slots=True)
class Step:
    """One change.

    Attributes:
        label: key of the wording table's `[edit]`.
        before, after: the project around the change.
        shop: what was done to the shop file; None if nothing.
        texts: of the project file before and after; empty where it was left alone.
        told: how many entries of the log belong to it.
    """

    label: str
    before: Project
    after: Project
    shop: ShopChange | None = None
    texts: tuple[str, str] = ("", "")
    told: int = 0


@dataclass(slots=True)
class History:
    """Steps done and steps taken back, the newest last."""

    _done: list[Step] = field(default_factory=list)
    _undone: list[Step] = field(default_factory=list)

    def push(self, step: Step) -> None:
        """Note a new change; what was taken back before cannot be done again."""
        self._done.append(step)
        self._undone.clear()

    @property
    def undo_label(self) -> str | None:
        """Label of the step `back` takes back; None if there is none."""
        return self._done[-1].label if self._done else None

    @property
    def redo_label(self) -> str | None:
        """Label of the step `forth` does again; None if there is none."""
        return self._undone[-1].label if self._undone else None

    def peek_back(self) -> Step | None:
        """The step `back` takes back; None if there is none."""
        return self._done[-1] if self._done else None

    def peek_forth(self) -> Step | None:
        """The step `forth` does again; None if there is none."""
        return self._undone[-1] if self._undone else None

    def back(self) -> None:
        """Take the newest step back."""
        self._undone.append(self._done.pop())

    def forth(self) -> None:
        """Do the step taken back last again."""
        self._done.append(self._undone.pop())
