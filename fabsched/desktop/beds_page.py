"""Beds and sheets as they will lie, with their files to be dragged out or saved."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QPoint, QRectF, QSize, Qt, QUrl
from PySide6.QtGui import QDrag, QMouseEvent, QPainter, QPaintEvent, QPixmap, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.bed_picture import draw_sketch, height_for
from fabsched.desktop.desk import Desk
from fabsched.desktop.own_folder import OwnFolder
from fabsched.desktop.rows import card
from fabsched.desktop.timeline.look import look
from fabsched.desktop.words import error_text
from fabsched.model.plan import Answer
from fabsched.session.export_records import Card, Sketch, Written
from fabsched.session.export_request import ExportRequest, ExportResponse
from fabsched.session.improve_request import ImproveRequest, ImproveResponse
from fabsched.session.wording import phrase

if TYPE_CHECKING:  # brings in numba
    from fabsched.schedule.layouts import RunLayout

WIDE_PX = 300
"""Width of a sketch."""
GRIP_PX = 96
"""Width of what is seen of files while they are dragged."""


IMPROVE_S = 30
"""How long layouts are improved while one looks on (our own choice)."""


class SketchView(QWidget):
    """A bed or sheet to scale; dragged, it takes its files along."""

    def __init__(self, sketch: Sketch, files: tuple[Path, ...], parent: QWidget) -> None:
        """Show a sketch.

        Args:
            sketch: what lies where.
            files: what machines are given for it.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._sketch = sketch
        self.files = files
        self._from: QPoint | None = None
        self.setFixedSize(WIDE_PX, round(height_for(sketch, WIDE_PX)) + 1)
        self.setAccessibleName(sketch.title)
        self.setAccessibleDescription(", ".join(laid.name for laid in sketch.laid))
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        self.setToolTip(self.tr("Drag this into a folder or another program to take the files"))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        looks = look(self.palette(), self.font())
        rect = QRectF(0, 0, self.width() - 1, self.height() - 1)
        draw_sketch(painter, self._sketch, rect, looks.small.font, looks.scheme)
        painter.end()

    def mime(self) -> QMimeData:
        """The files, as file managers take them."""
        mime = QMimeData()
        mime.setUrls([QUrl.fromLocalFile(str(path)) for path in self.files])
        return mime

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take hold."""
        self._from = event.position().toPoint()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Carry the files away."""
        here = event.position().toPoint()
        if self._from is None or not self.files:
            return
        if (here - self._from).manhattanLength() >= QApplication.startDragDistance():
            self._from = None
            drag = QDrag(self)
            drag.setMimeData(self.mime())
            seen = QPixmap(self.grab())
            drag.setPixmap(seen.scaledToWidth(GRIP_PX, Qt.TransformationMode.SmoothTransformation))
            drag.exec(Qt.DropAction.CopyAction)


class RunCard(QFrame):
    """One bed or sheet with what is to be known of it."""

    def __init__(self, told: Card, files: tuple[Path, ...], parent: QWidget) -> None:
        """Show a run.

        Args:
            told: what is said of it.
            files: what machines are given for it.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.run = told.run
        title = QLabel(told.title, self)
        font = title.font()
        font.setWeight(font.Weight.DemiBold)
        title.setFont(font)
        words = QVBoxLayout()
        words.addWidget(title)
        for line in told.lines:
            label = QLabel(line, self)
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setWordWrap(True)
            words.addWidget(label)
        words.addStretch(1)
        row = QHBoxLayout()
        row.setSpacing(14)
        self.sketch = SketchView(told.sketch, files, self) if told.sketch else None
        if self.sketch is not None:
            row.addWidget(self.sketch, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(words, 1)
        card(self).addLayout(row)


class BedsPage(QWidget):
    """Follows a desk's plan while it is seen."""

    def __init__(
        self, desk: Desk, save: Callable[[], object], parent: QWidget | None = None
    ) -> None:
        """Make a page.

        Args:
            desk: whose plan.
            save: asks where to save all files.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk = desk
        self._folder = OwnFolder()
        self._shown: Answer | None = None
        self._asked: int | None = None
        self._improving: int | None = None
        self.layouts: tuple[RunLayout, ...] = ()
        self.cards: list[RunCard] = []
        self.hint = QLabel(self)
        self.save = QPushButton(self.tr("Save all files\u2026"), self)
        self._lay_out()
        self.save.clicked.connect(save)
        for signal in (desk.opened, desk.changed, desk.planned):
            signal.connect(self.follow)
        desk.closed.connect(self._folder.clear)
        self.follow()

    def _lay_out(self) -> None:
        self.hint.setWordWrap(True)
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        body = QWidget(self)
        self._column = QVBoxLayout(body)
        self._column.setContentsMargins(0, 0, 4, 0)
        self._column.addStretch(1)
        scroll = QScrollArea(self)
        scroll.setWidget(body)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setAccessibleName(self.tr("Beds and sheets"))
        line = QHBoxLayout()
        line.addWidget(self.hint, 1)
        line.addWidget(self.save)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        column.addLayout(line)
        column.addWidget(scroll, 1)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for a sketch and its words."""
        return QSize(WIDE_PX * 2, WIDE_PX)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Catch up with the plan."""
        super().showEvent(event)
        self.follow()

    def follow(self) -> None:
        """Have the present plan laid out; what is out of sight waits until it is seen."""
        session = self._desk.session
        answer = session.answer if session and session.answer_is_current else None
        self.save.setEnabled(answer is not None)
        if answer is None:
            self._shown = None
            self._show((), phrase("no-plan"))
        elif self.isVisible() and answer is not self._shown:
            self._ask(answer)

    def _ask(self, answer: Answer) -> None:
        self._shown, self.layouts = answer, ()
        self._show((), phrase("beds-coming"))
        for asked in (self._asked, self._improving):
            self._desk.errands.drop(asked)
        self._ask_files()

    def _ask_files(self) -> None:
        """Have the files written into a folder of our own."""
        request = export_request(self._desk, self._folder.fresh(), self.layouts)
        if request is not None:
            self._asked = self._desk.errands.ask(request, self._take, failed=self._refuse)

    def _take(self, got: ExportResponse) -> None:
        self._asked = None
        files = by_run(got.written)
        cards = [RunCard(each, files.get(each.run, ()), self) for each in got.run_sheet.cards]
        self._show(cards, "" if cards else phrase("beds-none"))
        sheets = any(each.sketch and each.sketch.is_sheet for each in got.run_sheet.cards)
        if sheets and not self.layouts:
            self._improve()

    def _improve(self) -> None:
        """Have the sheets laid out better while what there is can be looked at."""
        request = improve_request(self._desk)
        if request is not None:
            self.hint.setText(phrase("beds-improving"))
            self._improving = self._desk.errands.ask(
                request, self._take_better, failed=lambda _error: self.hint.setText("")
            )

    def _take_better(self, got: ImproveResponse) -> None:
        self._improving, self.layouts = None, got.layouts
        if self._shown is not None:
            self._ask_files()

    def _refuse(self, error: Exception) -> None:
        self._asked = None
        self._show((), error_text(error))

    def _show(self, cards: Sequence[RunCard], hint: str) -> None:
        """Show other cards; without any, what there is to say instead."""
        self.hint.setText(hint)
        for old in self.cards:
            self._column.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.cards = list(cards)
        for place, each in enumerate(self.cards):
            self._column.insertWidget(place, each)


def by_run(written: tuple[Written, ...]) -> dict[str, tuple[Path, ...]]:
    """Files of each run, by its id."""
    found: dict[str, list[Path]] = {}
    for file in written:
        if file.run:
            found.setdefault(file.run, []).append(file.path)
    return {run: tuple(paths) for run, paths in found.items()}


def export_request(
    desk: Desk, target: Path, layouts: "tuple[RunLayout, ...]" = ()
) -> ExportRequest | None:
    """Ask for the files of the present plan; None where there is none.

    Args:
        desk: whose plan.
        target: folder the files go to.
        layouts: where everything lies, if that was improved.
    """
    session = desk.session
    if session is None or session.answer is None or session.weekend is None:
        return None
    return ExportRequest(
        project=session.project,
        shop=session.shop,
        estimates=session.estimates,
        weekend=session.weekend,
        answer=session.answer,
        folder=session.folder,
        target=target,
        now_s=int(desk.now().timestamp()),
        layouts=layouts,
    )


def improve_request(desk: Desk) -> ImproveRequest | None:
    """Ask for tighter layouts of the present plan; None where there is none."""
    session = desk.session
    if session is None or session.answer is None:
        return None
    return ImproveRequest(
        project=session.project,
        shop=session.shop,
        estimates=session.estimates,
        answer=session.answer,
        seconds=IMPROVE_S,
    )
