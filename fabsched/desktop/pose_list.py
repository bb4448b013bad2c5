"""The ways a printed part can lie on the bed, to choose from."""

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.copying import let_copy_tree
from fabsched.desktop.desk import Desk
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.words import error_text
from fabsched.model.estimates import Pose, Route
from fabsched.model.project import Part
from fabsched.session.clock import duration
from fabsched.session.edits import put_all
from fabsched.session.requests import PosesRequest, PosesResponse
from fabsched.session.wording import figure, phrase, pointed

ROWS_SHOWN = 5
"""How many ways are in sight without scrolling."""


class PoseList(QWidget):
    """Finds and shows ways to lie; a double click or Enter takes one."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make an empty list."""
        super().__init__(parent)
        self._desk = desk
        self._part: Part | None = None
        self._asked: int | None = None
        self._poses: tuple[Pose, ...] = ()
        self.look = QPushButton(self.tr("Find better ways to lie on the bed"), self)
        self.told = Prose(self)
        self.list = QTreeWidget(self)
        self.take = QPushButton(self.tr("Print it this way"), self)
        self.take.setToolTip(self.tr("Lay it as the marked line says, and plan again"))
        self.look.setToolTip(
            self.tr("Work out time, support and height for every side it can lie on")
        )
        self._lay_out()
        self.look.clicked.connect(self.ask)
        self.take.clicked.connect(self.choose)
        self.list.itemActivated.connect(self.choose)
        desk.opened.connect(self._forget)

    def _lay_out(self) -> None:
        titles = ("turn x, y, z", "time", "support", "on the bed", "height")
        self.list.setHeaderLabels([self.tr(title) for title in titles])
        self.list.setRootIsDecorated(False)
        let_copy_tree(self.list)
        self.list.setAccessibleName(self.tr("Ways to lie on the bed"))
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.list.header().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.list.setMinimumHeight(self.fontMetrics().height() * 2 * ROWS_SHOWN)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.look, 0, Qt.AlignmentFlag.AlignLeft)
        for widget in (self.told, self.list):
            column.addWidget(widget)
        column.addWidget(self.take, 0, Qt.AlignmentFlag.AlignRight)
        self._show()

    def show_part(self, part: Part) -> None:
        """Show the part's ways; those of another part are forgotten."""
        if self._part is None or part.id != self._part.id or part.file != self._part.file:
            self._forget()
        self._part = part
        self.setVisible(part.route is Route.PRINT)

    def _forget(self) -> None:
        self._desk.errands.drop(self._asked)
        self._part, self._asked, self._poses = None, None, ()
        self._show()

    def ask(self) -> None:
        """Have the ways found."""
        session = self._desk.session
        look = session.look_request(self._part.id) if session and self._part else None
        if look is None:
            return
        self._asked = self._desk.errands.ask(PosesRequest.of(look), self._take, failed=self._refuse)
        self._show(phrase("poses-coming"))

    def _take(self, got: PosesResponse) -> None:
        self._asked, self._poses = None, got.poses
        self._show("" if got.poses else phrase("poses-none"))

    def _refuse(self, error: Exception) -> None:
        self._asked = None
        self._show(error_text(error))

    def _show(self, told: str = "") -> None:
        self.told.setText(told)
        self.told.setVisible(bool(told))
        self.look.setEnabled(self._asked is None)
        self.list.clear()
        items = [QTreeWidgetItem(self.list, _texts(pose)) for pose in self._poses]
        for widget in (self.list, self.take):
            widget.setVisible(bool(items))
        if items:
            self.list.setCurrentItem(items[0])

    def choose(self) -> None:
        """Turn the part as the marked way says."""
        row = self.list.currentIndex().row()
        if self._part is not None and 0 <= row < len(self._poses):
            turned = replace(self._part, turn_deg=self._poses[row].turn_deg)
            self._desk.change(Place.PARTS, "turn", put_all([turned]))


def _texts(pose: Pose) -> list[str]:
    seconds = pose.estimate.seconds if pose.estimate else pose.rough_s
    note = "" if pose.fits else f" ({phrase('pose-too-large')})"
    return [
        ", ".join(f"{figure(degrees)}\u00b0" for degrees in pose.turn_deg),
        duration(seconds.likely) + note,
        pointed(f"{pose.support_mm3 / 1000:.1f} cm\u00b3"),
        f"{pose.contact_mm2:.0f} mm\u00b2",
        pointed(f"{pose.size_mm[2]:.1f} mm"),
    ]
