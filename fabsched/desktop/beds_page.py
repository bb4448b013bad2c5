"""Beds and sheets as they will lie, with their files to be dragged out or saved."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QPainter, QPaintEvent, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.bed_picture import draw_sketch, height_for
from fabsched.desktop.carrying import Carrying, FileGrip
from fabsched.desktop.desk import Desk
from fabsched.desktop.focus_frame import draw_focus_frame
from fabsched.desktop.own_folder import OwnFolder
from fabsched.desktop.paper import RUN_SHEET
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import card
from fabsched.desktop.run_sheet import print_run_sheet
from fabsched.desktop.timeline.look import look
from fabsched.desktop.words import error_text
from fabsched.model.plan import Answer
from fabsched.session.calendar import turns_of
from fabsched.session.export_records import Card, Sketch, Written
from fabsched.session.export_request import ExportRequest, ExportResponse
from fabsched.session.improve_request import ImproveRequest, ImproveResponse
from fabsched.session.wording import phrase

if TYPE_CHECKING:  # brings in numba
    from fabsched.schedule.layouts import RunLayout

WIDE_PX = 300
"""Width of a sketch."""
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
        self.setFixedSize(WIDE_PX, round(height_for(sketch, WIDE_PX)) + 1)
        self.setAccessibleName(sketch.title)
        self.setAccessibleDescription(", ".join(laid.name for laid in sketch.laid))
        self.carrying = Carrying(self, lambda: self.files)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        self.setToolTip(
            self.tr("Drag this into a folder or another program to take the files, or copy them")
        )

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        looks = look(self.palette(), self.font())
        rect = QRectF(0, 0, self.width() - 1, self.height() - 1)
        draw_sketch(painter, self._sketch, rect, looks.small.font, looks.scheme)
        draw_focus_frame(painter, self)
        painter.end()


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
            label = Prose(self, line)
            label.setTextFormat(Qt.TextFormat.PlainText)
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
        self.hint = Prose(self)
        self.calendar = FileGrip("calendar", self.tr("Calendar"), self)
        self.paper = FileGrip("log", self.tr("Run sheet"), self)
        self.save = QPushButton(self.tr("Save all files\u2026"), self)
        self._lay_out()
        self.save.clicked.connect(save)
        for signal in (desk.opened, desk.changed, desk.planned):
            signal.connect(self.follow)
        desk.closed.connect(self._folder.clear)
        self.follow()

    def _lay_out(self) -> None:
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        body = QWidget(self)
        self._column = QVBoxLayout(body)
        self._column.setContentsMargins(0, 0, 4, 0)
        self._column.addStretch(1)
        self.calendar.setToolTip(
            self.tr("Drag the calendar into a folder or another program; a click copies it")
        )
        self.paper.setToolTip(
            self.tr("Drag the run sheet into a folder or another program; a click copies it")
        )
        self.save.setToolTip(self.tr("Write beds, sheets, calendar and run sheet into a folder"))
        scroll = QScrollArea(self)
        scroll.setWidget(body)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setAccessibleName(self.tr("Beds and sheets"))
        line = QHBoxLayout()
        line.addWidget(self.hint, 1)
        for button in (self.calendar, self.paper, self.save):
            line.addWidget(button)
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
        self._offer(got)
        sheets = any(each.sketch and each.sketch.is_sheet for each in got.run_sheet.cards)
        if sheets and not self.layouts:
            self._improve()

    def _offer(self, got: ExportResponse) -> None:
        """Let the calendar be taken at once, and the run sheet as soon as it is drawn."""
        calendar = next((file.path for file in got.written if file.kind == "calendar"), None)
        self.calendar.show_file(calendar)
        if calendar is None:
            return
        answer, path = self._shown, calendar.with_name(RUN_SHEET)
        now_s = int(self._desk.now().timestamp())

        def draw() -> None:
            if self._shown is answer and path.parent.is_dir():
                made = self._desk.attempt(
                    Place.FILES, lambda: print_run_sheet(got.run_sheet, path, now_s=now_s)
                )
                self.paper.show_file(path if made else None)

        QTimer.singleShot(0, self, draw)

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
        for grip in (self.calendar, self.paper):
            grip.show_file(None)
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
        turns=turns_of(session.log.state),
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
