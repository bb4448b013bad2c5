"""The log of an open project: what it says now, and what is added to it.

Other windows and command lines may add to the same log at any time; `refresh` takes that in.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from fabsched.files.log_home import Home
from fabsched.files.log_sqlite import LogFile
from fabsched.model.findings import Finding
from fabsched.model.log import Entry, Event, InHand, last_told, last_withdrawn, withdrawn
from fabsched.model.state import State, state_of
from fabsched.session.plan_cache import PlanCache


@dataclass(slots=True)
class LogBook:
    """Entries of one project. Use `LogBook.of`.

    Attributes:
        folder: the project folder.
        plans: the last plans shown.
    """

    folder: Path
    plans: PlanCache
    _entries: tuple[Entry, ...] = ()
    _state: State = field(default_factory=State)
    _findings: tuple[Finding, ...] = ()
    _mark: bytes | None = None

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries, in the order they were written, as of the last look."""
        return self._entries

    @property
    def state(self) -> State:
        """Where the weekend stands."""
        return self._state

    @property
    def home(self) -> Home:
        """Whose log it is: a copied one speaks for itself only from the copying on.

        Raises:
            InputError: the log cannot be read.
        """
        return LogFile(self.folder).home(self._entries)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was noticed about the file when it was read."""
        return self._findings

    @property
    def in_hand(self) -> InHand | None:
        """The plan in hand; before anything has happened, the last one shown."""
        return self._state.in_hand or self.plans.get(self.folder)

    def refresh(self) -> bool:
        """Take in what anybody has added since; whether there was anything.

        Raises:
            InputError: the log cannot be read.
        """
        file = LogFile(self.folder)
        mark = file.mark()
        if mark == self._mark:
            return False
        entries, findings = file.read()
        changed = entries != self._entries
        self._entries, self._state = entries, state_of(entries)
        self._findings = (*self._findings, *findings)
        self._mark = file.mark() if findings else mark
        return changed

    def tell(self, told: Entry) -> tuple[Entry, ...]:
        """Add an entry; the first takes the last plan shown in hand, so that it can be read by itself.

        Returns:
            What was added, safe on the disk.

        Raises:
            InputError: it cannot be written; then nothing was added.
        """
        shown = self.plans.get(self.folder)

        def entries(known: tuple[Entry, ...]) -> tuple[Entry, ...]:
            if shown is None or any(entry.kind is Event.PLANNED for entry in known):
                return (told,)
            moment_s = min(told.moment_s, told.noted_s)
            taken = Entry(kind=Event.PLANNED, moment_s=moment_s, noted_s=told.noted_s, plan=shown)
            return (taken, told)

        return self._added(LogFile(self.folder).add(entries))

    def take_in_hand(self, in_hand: InHand, now_s: int) -> None:
        """Go by another plan from now on; written down once anything has happened.

        Raises:
            InputError: it cannot be written.
        """
        self.plans.put(self.folder, in_hand)
        if not self._state.has_begun or self._state.in_hand == in_hand:
            return
        entry = Entry(kind=Event.PLANNED, moment_s=now_s, noted_s=now_s, plan=in_hand)
        self._added(LogFile(self.folder).add(lambda _: (entry,)))

    def undo(self, now_s: int) -> tuple[Entry, ...]:
        """Withdraw what was told last, and the plans made since.

        Returns:
            What no longer holds; empty if there was nothing.

        Raises:
            InputError: it cannot be written.
        """
        return self._about(Event.WITHDRAWN, now_s)

    def redo(self, now_s: int) -> tuple[Entry, ...]:
        """Restore what was withdrawn last, unless something was told since.

        Returns:
            What holds again; empty if there was nothing.

        Raises:
            InputError: it cannot be written.
        """
        return self._about(Event.RESTORED, now_s)

    def withdraw(self, ids: Iterable[int], now_s: int) -> tuple[Entry, ...]:
        """Withdraw some entries; those that are not there, or withdrawn already, are passed over.

        Raises:
            InputError: it cannot be written.
        """
        wanted = frozenset(ids)

        def entries(known: tuple[Entry, ...]) -> tuple[Entry, ...]:
            alive = {entry.id for entry in known} - withdrawn(known)
            return _spoken(Event.WITHDRAWN, tuple(sorted(wanted & alive)), now_s)

        return self._meant(LogFile(self.folder).add(entries))

    def _about(self, kind: Event, now_s: int) -> tuple[Entry, ...]:
        which = last_told if kind is Event.WITHDRAWN else last_withdrawn

        def entries(known: tuple[Entry, ...]) -> tuple[Entry, ...]:
            return _spoken(kind, which(known), now_s)

        return self._meant(LogFile(self.folder).add(entries))

    def _meant(self, added: tuple[Entry, ...]) -> tuple[Entry, ...]:
        """The entries that added ones speak of, plans left out."""
        ids = {ident for entry in self._added(added) for ident in entry.of}
        return tuple(e for e in self._entries if e.id in ids and e.kind is not Event.PLANNED)

    def _added(self, added: tuple[Entry, ...]) -> tuple[Entry, ...]:
        self.refresh()
        return added


def _spoken(kind: Event, ids: tuple[int, ...], now_s: int) -> tuple[Entry, ...]:
    """An entry that speaks of others, if there are any."""
    return (Entry(kind=kind, moment_s=now_s, noted_s=now_s, of=ids),) if ids else ()
