"""What is known about the parts of an open project, and what is still to be estimated."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from fabsched.model.errors import InputError
from fabsched.model.estimates import Estimate
from fabsched.model.project import Part, Project
from fabsched.model.shop import Shop
from fabsched.model.spread import Spread
from fabsched.session.estimate_cache import EstimateCache
from fabsched.session.part_jobs import Digests, estimate_request
from fabsched.session.requests import (
    EstimateRequest,
    EstimateResponse,
    LookRequest,
    RoughRequest,
    RoughResponse,
)

MESHES = frozenset({".stl", ".obj", ".ply", ".3mf"})
"""Endings of files a figure can be guessed from much sooner than it can be computed."""


@dataclass(frozen=True, slots=True)
class Entry:
    """What is known for one key.

    Attributes:
        estimates: by machine id.
        errors: why other machines cannot make the part, or why its file cannot be read.
    """

    estimates: dict[str, Estimate]
    errors: tuple[InputError, ...] = ()


@dataclass(frozen=True, slots=True)
class _Asked:
    """The request of a part, and what it was made from.

    Attributes:
        part, shop: as they were.
        digest: of the part's file.
        request: what they lead to.
    """

    part: Part
    shop: Shop
    digest: str
    request: EstimateRequest


@dataclass(slots=True)
class EstimateBook:
    """Estimates by what they depend on, so that only what has changed is made again.

    Attributes:
        folder: the project folder.
        cache: estimates of earlier runs of the program.
    """

    folder: Path
    cache: EstimateCache
    _digests: Digests = field(default_factory=Digests)
    _known: dict[str, Entry] = field(default_factory=dict)
    _missed: set[str] = field(default_factory=set)
    _open: dict[str, EstimateRequest] = field(default_factory=dict)
    _asked: dict[str, _Asked] = field(default_factory=dict)
    _guessed: dict[str, Spread | None] = field(default_factory=dict)
    _guessing: dict[str, RoughRequest] = field(default_factory=dict)

    def requests(self, project: Project, shop: Shop) -> tuple[EstimateRequest, ...]:
        """What is still to be estimated; parts that need the same estimate ask for it once."""
        wanted: dict[str, EstimateRequest] = {}
        for part in project.parts:
            request = self._request(part, shop)
            if isinstance(request, EstimateRequest) and self._entry(request.key) is None:
                wanted.setdefault(request.key, self._open.get(request.key, request))
        self._open = wanted
        return tuple(wanted.values())

    def rough_requests(self, open_now: Iterable[EstimateRequest]) -> tuple[RoughRequest, ...]:
        """What may be guessed until those estimates are there; the same again until answered."""
        wanted: dict[str, RoughRequest] = {}
        for request in open_now:
            quick = request.path.suffix.lower() in MESHES
            if quick and request.part.minutes is None and request.key not in self._guessed:
                asked = self._guessing.get(request.key)
                wanted[request.key] = asked or RoughRequest.of(request, key=request.key)
        self._guessing = wanted
        return tuple(wanted.values())

    def accept_rough(self, response: RoughResponse) -> None:
        """Take in a guess."""
        self._guessing.pop(response.key, None)
        self._guessed[response.key] = response.seconds

    def roughs(self, project: Project, shop: Shop) -> dict[str, Spread]:
        """Guesses, by part id."""
        found = {part: self._guessed.get(mark) for part, mark in self.marks(project, shop).items()}
        return {ident: seconds for ident, seconds in found.items() if seconds is not None}

    def marks(self, project: Project, shop: Shop) -> dict[str, str]:
        """By part id, what tells its estimate from any other: its key, or what is in the way."""
        return {part.id: self.mark(part, shop) for part in project.parts}

    def mark(self, part: Part, shop: Shop) -> str:
        """What tells the estimate of one part from any other."""
        return _mark(self._request(part, shop))

    def look_request(self, part: Part, shop: Shop) -> LookRequest | None:
        """Ask what a part looks like; None where its file cannot be asked for."""
        request = self._request(part, shop)
        if isinstance(request, InputError):
            return None
        return LookRequest.of(request)

    def accept(self, response: EstimateResponse) -> bool:
        """Take in a response; False if it answers no request that is still open."""
        request = self._open.get(response.key)
        if request is None or request.id != response.id:
            return False
        del self._open[response.key]
        self._known[response.key] = Entry(dict(response.estimates), response.errors)
        if not response.errors:
            self.cache.put(response.key, response.estimates)
        return True

    def keep(self, key: str, estimates: Mapping[str, Estimate]) -> None:
        """Take in what was computed for something else on the way."""
        self._known[key] = Entry(dict(estimates))
        self.cache.put(key, estimates)

    def estimates(self, project: Project, shop: Shop) -> dict[str, dict[str, Estimate]]:
        """What is known so far: by part id, then by machine id."""
        found: dict[str, dict[str, Estimate]] = {}
        for part in project.parts:
            request = self._request(part, shop)
            if isinstance(request, EstimateRequest) and (entry := self._entry(request.key)):
                found[part.id] = dict(entry.estimates)
        return {ident: machines for ident, machines in found.items() if machines}

    def problems(self, project: Project, shop: Shop) -> dict[str, tuple[InputError, ...]]:
        """Why parts cannot be made, by part id; parts some machine can make are left out."""
        found = {part.id: self._problems(part, shop) for part in project.parts}
        return {ident: errors for ident, errors in found.items() if errors}

    def _problems(self, part: Part, shop: Shop) -> tuple[InputError, ...]:
        request = self._request(part, shop)
        if isinstance(request, InputError):
            return (request,)
        entry = self._entry(request.key)
        return entry.errors if entry is not None and not entry.estimates else ()

    def _request(self, part: Part, shop: Shop) -> EstimateRequest | InputError:
        """The request of a part, made once as long as nothing it depends on has changed."""
        try:
            digest = self._digests.of(self.folder / part.file, part.file)
            known = self._asked.get(part.id)
            if known and known.shop is shop and (known.part, known.digest) == (part, digest):
                return known.request
            request = estimate_request(part, self.folder, shop, self._digests)
        except InputError as error:
            return error
        self._asked[part.id] = _Asked(part, shop, digest, request)
        return request

    def _entry(self, key: str) -> Entry | None:
        if key not in self._known and key not in self._missed:
            cached = self.cache.get(key)
            if cached is None:
                self._missed.add(key)
            else:
                self._known[key] = Entry(cached)
        return self._known.get(key)


def _mark(asked: EstimateRequest | InputError) -> str:
    return f"{asked.code} {asked.facts}" if isinstance(asked, InputError) else asked.key
