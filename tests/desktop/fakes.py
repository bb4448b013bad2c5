"""A pool that answers when told to, files to drop, and a project to show."""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QWidget

from fabsched.desktop.asking import Then, ThenAll
from fabsched.model.errors import Cancelled
from fabsched.model.estimates import Estimate, Route
from fabsched.model.findings import Finding, Remark
from fabsched.model.shapes import Drawing, Mesh
from fabsched.model.spread import Spread
from fabsched.session.calendar_request import CalendarRequest
from fabsched.session.foresight_request import CourseRequest, CourseResponse
from fabsched.session.ladder_request import LadderRequest
from fabsched.session.pool import Event, Failed, Finished, Listener
from fabsched.session.requests import (
    AdoptRequest,
    EstimateRequest,
    EstimateResponse,
    LookRequest,
    LookResponse,
    PlanRequest,
    PlanResponse,
    Request,
    RoughRequest,
    RoughResponse,
)
from fabsched.session.worker import Progressed
from tests.desktop import made, shapes
from tests.desktop.bench.replies import reply

PROJECT = """\
name = "Balcony weather station"
zone = "Europe/Vienna"
start = 2026-03-13T18:00:00
deadline = 2026-03-15T21:00:00

[[part]]
id = "louvre"
name = "Louvre plate"
file = "parts/louvre.stl"
copies = 6
route = "print"
material = "PETG"

[[part]]
id = "cradle"
name = "Sensor cradle with a rather long name"
file = "parts/cradle.stl"
route = "print"
material = "PLA"

[[part]]
id = "base"
name = "Base plate"
file = "parts/base.svg"
route = "cut"
material = "plywood"
thickness_mm = 3.0

[[work]]
id = "wire"
name = "Wire the sensors"
minutes = [60, 90, 150]

[[work]]
id = "assemble"
name = "Assemble the station"
minutes = [60, 90, 150]
after = ["louvre", "cradle", "base", "fit"]

[[gate]]
id = "fit"
name = "Test fit of the cradle"
minutes = [5, 10, 20]
after = ["cradle"]
chance = 0.2
redo = ["cradle"]
"""

STL = b"solid s\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 9 0 0\nvertex 0 9 0\nendloop\nendfacet\nendsolid s\n"
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><rect width="9" height="9"/></svg>'


def write_project(folder: Path) -> Path:
    """A project with three parts, two pieces of work and a gate."""
    (folder / "parts").mkdir(parents=True)
    (folder / "project.toml").write_text(PROJECT, "utf-8")
    for name in ("louvre", "cradle"):
        (folder / f"parts/{name}.stl").write_bytes(STL.replace(b"9", str(len(name)).encode()))
    (folder / "parts/base.svg").write_bytes(SVG)
    return folder


NOTHING: Mapping[str, Any] = {}
"""No errors, no findings."""


class FakePool:
    """Holds requests until a test answers them; calls back on the thread that does."""

    def __init__(self) -> None:
        """An idle pool."""
        self.held: dict[int, tuple[Request[Any], Listener]] = {}
        self.cancelled: list[int] = []
        self.contented: list[int] = []
        self.closed = False
        self.looks: dict[str, Mesh | Drawing] = {}
        """What parts look like, by id, where a test wants something else."""

    def submit(self, request: Request[Any], tell: Listener) -> int:
        """Hold a request; files are copied at once, what they look like and a glance are made up."""
        if isinstance(request, AdoptRequest):
            tell(Finished(request.id, request.run()))
        elif isinstance(request, LookRequest):
            flat = request.part.route is Route.CUT
            made_up = shapes.flat() if flat else shapes.wedge()
            shape = self.looks.get(request.part.id, made_up)
            tell(Finished(request.id, LookResponse(id=request.id, shape=shape)))
        elif isinstance(request, CourseRequest):
            told = CourseResponse(id=request.id, outlooks=made.outlooks())
            tell(Finished(request.id, told))
        else:
            self.held[request.id] = (request, tell)
        return request.id

    def cancel(self, ident: int) -> None:
        """Let a request fail as the real pool does."""
        if ident in self.held:
            self.cancelled.append(ident)
            self.end(ident, Failed(ident, Cancelled()))

    def enough(self, ident: int) -> None:
        """Note which search may end with what it has."""
        self.contented.append(ident)

    def close(self) -> None:
        """End everything."""
        for ident in tuple(self.held):
            self.cancel(ident)
        self.closed = True

    def of(self, kind: type) -> list[Any]:
        """Requests of a kind that are held."""
        return [request for request, _ in self.held.values() if isinstance(request, kind)]

    def tell(self, ident: int, done: float, stage: str, what: object = None) -> None:
        """Report progress of a request, with what it has found."""
        self.held[ident][1](Progressed(ident, done, stage, what))

    def end(self, ident: int, event: Event) -> None:
        """End a request."""
        self.held.pop(ident)[1](event)

    def answer_one(self, request: Request[Any]) -> None:
        """Answer one request, and let that arrive."""
        self.end(request.id, Finished(request.id, _response(request, NOTHING, NOTHING)))
        QApplication.processEvents()

    def answer(
        self,
        *,
        errors: Mapping[str, Exception] = NOTHING,
        findings: Mapping[str, tuple[Finding, ...]] = NOTHING,
        only: type = object,
    ) -> None:
        """Answer everything of a kind that is held as the real work would."""
        for request in self.of(only):
            self.end(request.id, Finished(request.id, _response(request, errors, findings)))


def _response(
    request: Request[Any],
    errors: Mapping[str, Exception],
    findings: Mapping[str, tuple[Finding, ...]],
) -> Any:
    if (replied := reply(request)) is not None:
        return replied
    if isinstance(request, CalendarRequest | LadderRequest):
        return request.run()
    if isinstance(request, RoughRequest):
        return RoughResponse(id=request.id, key=request.key, seconds=Spread(3000, 4000, 6000))
    if isinstance(request, PlanRequest):
        return PlanResponse(id=request.id, answer=made.answer(), weekend=made.weekend())
    assert isinstance(request, EstimateRequest)
    fault: Any = errors.get(request.part.id)
    return EstimateResponse(
        id=request.id,
        part=request.part.id,
        key=request.key,
        estimates={}
        if fault
        else {m.id: _estimate(request, m.id, findings) for m in request.machines},
        errors=(fault,) if fault else (),
    )


def _estimate(
    request: EstimateRequest, machine: str, findings: Mapping[str, tuple[Finding, ...]]
) -> Estimate:
    thin = Finding(
        code=Remark.THIN_WALLS,
        where=request.where,
        facts={"width": 0.3, "bead": 0.45, "share": "3 %"},
    )
    return Estimate(
        route=Route(request.part.route),
        machine=machine,
        stock=request.part.material,
        seconds=Spread(4000, 4500, 5600),
        breakdown_s={},
        cost=None,
        footprint_mm=(10, 10),
        mass_g=12.0,
        findings=findings.get(request.part.id, (thin,) if request.part.id == "cradle" else ()),
    )


class FakeAsks:
    """Answers in the user's place."""

    def __init__(self) -> None:
        """Answers nothing until told what."""
        self.asked: list[str] = []
        self.path: Path | None = None
        self.files: tuple[Path, ...] = ()

    def new_folder(self, title: str, name: str, then: Then) -> None:
        """Answer with `path`."""
        self.asked.append(f"{title}: {name}")
        self._give(then)

    def folder(self, title: str, then: Then) -> None:
        """Answer with `path`."""
        self.asked.append(title)
        self._give(then)

    def part_files(self, title: str, then: ThenAll) -> None:
        """Answer with `files`."""
        self.asked.append(title)
        if self.files:
            then(self.files)

    def busy_file(self, title: str, then: Then) -> None:
        """Answer with `path`."""
        self.asked.append(title)
        self._give(then)

    def ladder_file(self, title: str, then: Then) -> None:
        """Answer with `path`."""
        self.asked.append(title)
        self._give(then)

    def picture_file(self, title: str, name: str, then: Then) -> None:
        """Answer with `path`."""
        self.asked.append(f"{title}: {name}")
        self._give(then)

    def calendar_file(self, title: str, name: str, then: Then) -> None:
        """Answer with `path`."""
        self.asked.append(f"{title}: {name}")
        self._give(then)

    def _give(self, then: Then) -> None:
        if self.path is not None:
            then(self.path)


def drop(window: QWidget, target: QWidget, files: Iterable[Path]) -> bool:
    """Drag files over a widget and let them go there, as a file manager does.

    Returns:
        Whether they were welcome.
    """
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in files])
    at = target.mapTo(window, QPoint(target.width() // 2, target.height() // 2))
    buttons, keys = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(at, Qt.DropAction.CopyAction, mime, buttons, keys)
    enter.ignore()
    QApplication.sendEvent(window, enter)
    if not enter.isAccepted():
        return False
    let_go = QDropEvent(QPointF(at), Qt.DropAction.CopyAction, mime, buttons, keys)
    QApplication.sendEvent(window, let_go)
    QApplication.processEvents()  # what is copied at once is told on the next turn of the loop
    return True
