"""What the user's own log has taught, for as long as the program runs.

Light to import: what the figures are worked out with comes when it is first asked for.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from fabsched.files.experience_sqlite import Experience, ExperienceFile
from fabsched.files.log_home import Home, mark_of
from fabsched.model.errors import InputError
from fabsched.model.estimates import Estimate
from fabsched.model.experience import LateSeen, LookSeen, RunSeen, Seen, WorkSeen
from fabsched.model.findings import Finding
from fabsched.model.log import Entry
from fabsched.model.project import Project
from fabsched.model.shop import Machine, Shop
from fabsched.model.spread import Spread
from fabsched.session.names_learnt import names_of_seen

if TYPE_CHECKING:
    from fabsched.session.knowledge import Knowledge


class Experiences:
    """The file of a user, and what follows from it.

    A file that cannot be read stops nobody from working: then nothing is known, and `noticed` says
    why.

    Args:
        file: where it is kept.
    """

    def __init__(self, file: ExperienceFile) -> None:
        self._file = file
        self._held: Experience | None = None
        self._knowledge: Knowledge | None = None
        self._taught: dict[int, tuple[Estimate, float, Estimate]] = {}
        self._noticed: tuple[InputError | Finding, ...] = ()

    @property
    def seen(self) -> tuple[Seen, ...]:
        """All that counts, ordered by key."""
        return self._read().seen

    @property
    def forgotten(self) -> frozenset[str]:
        """Keys the maker has taken out."""
        return self._read().forgotten

    @property
    def unlearnt(self) -> tuple[Seen, ...]:
        """What the maker has taken out, ordered by key."""
        return self._read().unlearnt

    @property
    def noticed(self) -> tuple[InputError | Finding, ...]:
        """What is wrong with the file, or was: why nothing can be read, or what was set aside."""
        self._read()
        return self._noticed

    @property
    def knowledge(self) -> "Knowledge":
        """What it all comes to."""
        if self._knowledge is None:
            from fabsched.session.knowledge import knowledge_of  # noqa: PLC0415 - needs arrays

            self._knowledge = knowledge_of(self.seen)
        return self._knowledge

    def be_ready(self) -> None:
        """Work out beforehand what it all comes to: the first time takes a moment."""
        _ = self.knowledge

    @property
    def light(self) -> tuple[Seen, ...]:
        """What a plan hangs on, as it is sent to a worker: failures, work, faults and deliveries."""
        runs = (replace(one, moves=None) for one in self.seen if isinstance(one, RunSeen))
        others = (one for one in self.seen if isinstance(one, WorkSeen | LookSeen | LateSeen))
        return (*runs, *others)

    def all_taught(
        self, computed: Mapping[str, Mapping[str, Estimate]], shop: Shop
    ) -> dict[str, dict[str, Estimate]]:
        """Estimates by part and machine, with what is known of their machines put to them."""
        machines = shop.machines
        return {
            part: {ident: self._taught_once(e, machines.get(ident)) for ident, e in each.items()}
            for part, each in computed.items()
        }

    def _taught_once(self, estimate: Estimate, machine: Machine | None) -> Estimate:
        """The same again for the same estimate, as long as nothing new is learnt."""
        if not self.seen:
            return estimate
        cost_hour = machine.cost_hour if machine else 0.0
        known = self._taught.get(id(estimate))
        if known is None or known[0] is not estimate or known[1] != cost_hour:
            known = self._taught[id(estimate)] = (
                estimate,
                cost_hour,
                self.taught(estimate, machine),
            )
        return known[2]

    def all_rough(
        self, guessed: Mapping[str, Spread], project: Project, shop: Shop
    ) -> dict[str, Spread]:
        """First figures by part, with what is known of the first printer put to their middle."""
        if not self.seen or not shop.printers:
            return dict(guessed)
        material = {part.id: part.material for part in project.parts}
        machine = shop.printers[0].id
        return {
            part: self.knowledge.rough(spread, machine, material.get(part, ""))
            for part, spread in guessed.items()
        }

    def taught(self, estimate: Estimate, machine: Machine | None) -> Estimate:
        """An estimate with what is known of its machine put to it."""
        return self.knowledge.estimate(estimate, machine) if self.seen else estimate

    def learn_from(
        self,
        entries: Sequence[Entry],
        *,
        project: Project,
        shop: Shop,
        computed: Mapping[str, Mapping[str, Estimate]],
        now_s: int,
        home: Home | None = None,
    ) -> int:
        """Take in what the log of a project says now.

        May be called as often as one likes, with all entries of the log: each thing counts once,
        corrected entries replace what they said before, withdrawn ones are taken out, and what the
        maker has forgotten stays forgotten.

        Args:
            entries: all of them.
            project: whose log it is.
            shop: its machines.
            computed: estimates of one copy before anything learnt was put to them, by part and
                machine.
            now_s: the present moment.
            home: whose log it is; None for one that is no copy.

        Returns:
            How much has changed.

        Raises:
            InputError: the file cannot be written; then nothing has changed.
        """
        from fabsched.session.log_lessons import (  # noqa: PLC0415 - needs arrays
            Setting,
            lessons_of,
        )
        from fabsched.session.working_hours import open_seconds  # noqa: PLC0415 - as above

        home = home or Home(mark_of(entries))
        if not home.own:
            return 0
        setting = Setting(
            project=project,
            shop=shop,
            computed=computed,
            known=self.knowledge,
            open_s=open_seconds(shop, project.zone),
            now_s=now_s,
            home=home,
        )
        fresh = _as_computed_then(lessons_of(entries, setting), self.seen)
        return self._changed(self._file.sync(f"{home.own}/", fresh))

    def forget(self, keys: Iterable[str]) -> int:
        """Let entries no longer count. Returns how many did.

        Raises:
            InputError: the file cannot be written.
        """
        return self._changed(self._file.forget(keys))

    def recall(self, keys: Iterable[str]) -> int:
        """Let forgotten entries count again. Returns how many do.

        Raises:
            InputError: the file cannot be written.
        """
        return self._changed(self._file.recall(keys))

    def unlearn(self, name: str) -> int:
        """Let all that was seen of one machine, material or kind of work no longer count.

        Args:
            name: its id; `FAULTS` for what checks found, `DELIVERIES` for how late these came.

        Returns:
            How much that was.

        Raises:
            InputError: the file cannot be written.
        """
        return self.forget([one.key for one in self.seen if name in names_of_seen(one)])

    def relearn(self, name: str) -> int:
        """Let what was unlearnt of one machine, material or kind of work count again.

        Args:
            name: as for `unlearn`.

        Returns:
            How much that was.

        Raises:
            InputError: the file cannot be written.
        """
        return self.recall([one.key for one in self.unlearnt if name in names_of_seen(one)])

    def _changed(self, rows: int) -> int:
        if rows:
            self._held = self._knowledge = None
            self._taught.clear()
        return rows

    def _read(self) -> Experience:
        if self._held is None:
            before = tuple(one for one in self._noticed if isinstance(one, Finding))
            try:
                self._held, found = self._file.read()
                self._noticed = (*before, *found)
            except InputError as error:
                self._held, self._noticed = Experience(), (*before, error)
        return self._held


def _as_computed_then(fresh: Iterable[Seen], before: Iterable[Seen]) -> tuple[Seen, ...]:
    """The lessons, with what was computed for each run when it was first learnt from.

    A part may have changed since; the run was that of the part as it was.
    """
    known = {one.key: one for one in before if isinstance(one, RunSeen)}
    return tuple(_with_figures(one, known.get(one.key)) for one in fresh)


def _with_figures(one: Seen, before: RunSeen | None) -> Seen:
    if not isinstance(one, RunSeen) or before is None or one.machine != before.machine:
        return one
    return replace(
        one, estimated_s=before.estimated_s, moves=before.moves, material=before.material
    )
