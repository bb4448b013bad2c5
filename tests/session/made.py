"""Small projects for tests of the session, with responses made by hand."""

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TypeVar
from zoneinfo import ZoneInfo

from fabsched.model.estimates import Estimate, Route
from fabsched.model.findings import Finding, Remark
from fabsched.model.spread import Spread
from fabsched.session.project_session import Session
from fabsched.session.requests import EstimateRequest, EstimateResponse

SessionT = TypeVar("SessionT", bound=Session)

BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime(2026, 10, 23, 18, tzinfo=BERLIN)
DEADLINE = NOW + timedelta(days=2)


def part_file(folder: Path, name: str, text: str = "solid") -> Path:
    """A file that may become a part; its content is never read here."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text)
    return folder / name


def session_of(root: Path, *names: str) -> Session:
    """A new project of a few part files."""
    files = [part_file(root / "from", name, name) for name in names]
    return Session.create(
        root / "box",
        name="Box",
        zone=BERLIN,
        deadline=DEADLINE,
        files=files,
        now=NOW,
        cache_folder=root / "cache",
    )


def reopened(session: Session) -> Session:
    """The same project, opened anew with the same cache."""
    cache_folder = session.folder.parent / "cache"
    return Session.open(session.folder, cache_folder=cache_folder)


def estimate_of(
    machine: str, material: str, seconds: float, route: Route = Route.PRINT
) -> Estimate:
    """An estimate without doubt."""
    return Estimate(
        route=route,
        machine=machine,
        stock=material,
        seconds=Spread.exactly(seconds),
        breakdown_s={"walls": seconds},
        cost=1.5,
        footprint_mm=(10.0, 20.0),
        silhouette_mm=((0.0, 0.0), (10.0, 0.0), (10.0, 20.0)),
        mass_g=5.0 if route is Route.PRINT else None,
    )


def response_to(request: EstimateRequest, seconds: float = 600.0) -> EstimateResponse:
    """A response as a worker would give it."""
    findings = (Finding(code=Remark.WELDED, where=request.where, facts={"tolerance": 0.01}),)
    estimates = {
        machine.id: replace(
            estimate_of(machine.id, request.part.material, seconds, request.part.route),
            findings=findings,
        )
        for machine in request.machines
    }
    return EstimateResponse(
        id=request.id, part=request.part.id, key=request.key, estimates=estimates
    )


def estimated(session: SessionT) -> SessionT:
    """The session with every request answered."""
    for request in session.estimate_requests():
        assert session.accept(response_to(request))
    return session
