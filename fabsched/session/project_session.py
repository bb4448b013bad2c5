"""The open project: what is known of it, how it changes, and what still has to be computed.

A plain object of one thread. Whoever shows it subscribes, and reads it again when told to; slow work
is asked for by requests and taken in by `accept`.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Self
from zoneinfo import ZoneInfo

from fabsched.files.experience_sqlite import ExperienceFile, default_file
from fabsched.files.project_toml import PROJECT_FILE, read_project_text
from fabsched.model.errors import InputError
from fabsched.model.estimates import Estimate
from fabsched.model.findings import Finding
from fabsched.model.plan import Answer
from fabsched.model.spread import Spread
from fabsched.model.weekend import Weekend
from fabsched.session import edits
from fabsched.session.checks import check_plannable
from fabsched.session.estimate_book import EstimateBook
from fabsched.session.estimate_cache import EstimateCache, default_folder
from fabsched.session.experience import Experiences
from fabsched.session.kept_project import KeptProject, Topic
from fabsched.session.new_parts import parts_of
from fabsched.session.new_project import make_project
from fabsched.session.requests import (
    AdoptRequest,
    AdoptResponse,
    EstimateRequest,
    EstimateResponse,
    LookRequest,
    PlanRequest,
    PlanResponse,
    Response,
    RoughRequest,
    RoughResponse,
)
from fabsched.session.stock import shortages
from fabsched.session.stock_records import Stock


class Session(KeptProject):
    """An open project. Use `Session.open` or `Session.create`."""

    def __init__(
        self, folder: Path, text: str, cache: EstimateCache, experiences: Experiences
    ) -> None:
        """Take in a project folder whose `project.toml` holds `text`.

        Raises:
            InputError: `project.toml` or the shop file is at fault.
        """
        super().__init__(folder, text)
        self._book = EstimateBook(folder, cache)
        self._experiences = experiences
        self._plan_id: int | None = None
        self._answer: Answer | None = None
        self._weekend: Weekend | None = None
        self._stock: Stock | None = None
        self._answer_is_current = False
        self._looked: dict[str, str] = {}

    @classmethod
    def open(
        cls,
        folder: Path,
        *,
        cache_folder: Path | None = None,
        experience_file: Path | None = None,
    ) -> Self:
        """Open a project.

        Args:
            folder: the project folder, or its `project.toml`.
            cache_folder: where estimates are kept; by default the platform's cache folder.
            experience_file: what the user's log has taught; by default in the platform's data folder.

        Raises:
            InputError: there is no project, or one of its files is at fault.
        """
        is_file = folder.name == PROJECT_FILE and folder.is_file()
        home = folder.parent if is_file else folder
        text = read_project_text(home)
        cache = EstimateCache(cache_folder or default_folder())
        experiences = Experiences(ExperienceFile(experience_file or default_file()))
        return cls(home.resolve(), text, cache, experiences)

    @classmethod
    def create(  # noqa: PLR0913 - the facts of a new project
        cls,
        folder: Path,
        *,
        name: str,
        zone: ZoneInfo,
        deadline: datetime,
        files: Sequence[Path],
        now: datetime,
        cache_folder: Path | None = None,
    ) -> Self:
        """Make a project folder from part files and open it. Nothing is made if anything is wrong.

        Args:
            folder: must not exist, or be empty.
            name: name shown; empty takes the folder's.
            zone: the zone everything is shown in.
            deadline: zone-aware, or naive in `zone`.
            files: part files; they are copied.
            now: the present moment, zone-aware.
            cache_folder: as for `open`.

        Raises:
            InputError: the folder is not empty, the deadline has passed or a file is no part.
        """
        make_project(folder, name=name, zone=zone, deadline=deadline, files=files, now=now)
        return cls.open(folder, cache_folder=cache_folder)

    # What is known.

    @property
    def estimates(self) -> dict[str, dict[str, Estimate]]:
        """What is known so far, by part id, then by machine id, with what the log has taught."""
        return self._experiences.all_taught(self.computed, self.shop)

    @property
    def computed(self) -> dict[str, dict[str, Estimate]]:
        """The same before anything learnt was put to it."""
        return self._book.estimates(self.project, self.shop)

    @property
    def experiences(self) -> Experiences:
        """What the user's log has taught."""
        return self._experiences

    def relearn(self) -> None:
        """Let estimates and plans follow what was learnt or forgotten since."""
        self._outdate()
        self._tell(Topic.ESTIMATES)

    @property
    def roughs(self) -> dict[str, Spread]:
        """First figures of the seconds a part takes, by part id, until its estimate is there."""
        guessed = self._book.roughs(self.project, self.shop)
        return self._experiences.all_rough(guessed, self.project, self.shop)

    @property
    def problems(self) -> dict[str, tuple[InputError, ...]]:
        """Why parts cannot be made, by part id; parts some machine can make are left out."""
        return self._book.problems(self.project, self.shop)

    @property
    def marks(self) -> dict[str, str]:
        """By part id, what tells its estimate from any other; parts alike have the same mark."""
        return self._book.marks(self.project, self.shop)

    def mark(self, ident: str) -> str:
        """That of one part; empty where there is none."""
        part = next((part for part in self.project.parts if part.id == ident), None)
        return self._book.mark(part, self.shop) if part else ""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was noticed about the parts, each remark once, then what stock will not suffice."""
        estimates = self.estimates
        seen: dict[str, Finding] = {}
        for machines in estimates.values():
            for estimate in machines.values():
                seen.update((repr(finding), finding) for finding in estimate.findings)
        stock = self._stock if self._answer_is_current else None
        return (*seen.values(), *shortages(self.project, self.shop, estimates, stock))

    @property
    def answer(self) -> Answer | None:
        """The last plan; None before the first."""
        return self._answer

    @property
    def weekend(self) -> Weekend | None:
        """What the last plan was made for; None before the first."""
        return self._weekend

    @property
    def stock(self) -> Stock | None:
        """What the last plan takes from stock; None if nobody counted."""
        return self._stock

    @property
    def answer_is_current(self) -> bool:
        """Whether nothing has changed since `answer` was asked for."""
        return self._answer_is_current

    def look_at_parts(self) -> None:
        """Notice part files that were changed, taken away or put back since they were asked about."""
        if self.marks != self._looked:
            self._looked = self.marks
            self._outdate()
            self._tell(Topic.PROJECT)

    # What has to be computed.

    def adopt_request(self, paths: Iterable[Path]) -> AdoptRequest:
        """Ask for part files to be copied into the project; accepted, each becomes a part."""
        return AdoptRequest(paths=tuple(paths), folder=self._folder)

    def rough_requests(self) -> tuple[RoughRequest, ...]:
        """First figures for what is still to be estimated, where they come much sooner."""
        return self._book.rough_requests(self.estimate_requests())

    def look_request(self, ident: str) -> LookRequest | None:
        """Ask what a part looks like; None where there is no such part, or its file is missing."""
        part = next((part for part in self.project.parts if part.id == ident), None)
        return self._book.look_request(part, self.shop) if part else None

    def estimate_requests(self) -> tuple[EstimateRequest, ...]:
        """What is still to be estimated.

        The same request comes again, with the same id, until its response has been accepted or what
        it depends on has changed.
        """
        requests = self._book.requests(self.project, self.shop)
        self._looked = self.marks
        if requests:
            self._outdate()
        return requests

    def plan_request(self, now: datetime, seed: int = 0) -> PlanRequest:
        """Ask for a plan of the project as it is; only the last one asked for is accepted.

        Args:
            now: nothing is planned before this moment; zone-aware.
            seed: of the random draws.

        Raises:
            InputError: there is nothing to plan, the deadline has passed or a part cannot be made.
            ValueError: estimates are still missing; see `estimate_requests`.
        """
        if self.estimate_requests():
            raise ValueError("estimates are missing")
        try:
            check_plannable(self.project, self.problems, self._begins(now))
        except InputError:
            self._outdate()
            raise
        request = PlanRequest(
            project=self.project,
            shop=self.shop,
            estimates=self.estimates,
            now_s=int(now.timestamp()),
            seed=seed,
            seen=self._experiences.light,
        )
        self._plan_id = request.id
        return request

    def accept(self, response: Response) -> bool:
        """Take in a response.

        Returns:
            False if it is out of date; then nothing has changed.

        Raises:
            InputError: parts cannot be added, since the project cannot be saved.
        """
        match response:
            case PlanResponse():
                return self._accept_plan(response)
            case EstimateResponse():
                return self._accept_estimates(response)
            case RoughResponse():
                self._book.accept_rough(response)
                self._tell(Topic.ESTIMATES)
                return True
            case AdoptResponse():
                return self._accept_files(response)

    def _accept_files(self, response: AdoptResponse) -> bool:
        """Make a part of each file."""
        if response.folder != self._folder:
            return False
        taken = [item.id for item in self.project.items]
        parts = parts_of(response.files, taken, self.shop)
        self.change("add-files", edits.put_all(parts))
        return True

    def _accept_plan(self, response: PlanResponse) -> bool:
        if response.id != self._plan_id:
            return False
        self._answer, self._weekend = response.answer, response.weekend
        self._stock = response.stock
        self._answer_is_current = True
        self._tell(Topic.ANSWER)
        return True

    def _accept_estimates(self, response: EstimateResponse) -> bool:
        if not self._book.accept(response):
            return False
        self._tell(Topic.ESTIMATES)
        return True

    def _begins(self, now: datetime) -> datetime:
        """The moment by which the deadline must not have passed."""
        return now

    def _outdate(self) -> None:
        self._plan_id = None
        self._answer_is_current = False
