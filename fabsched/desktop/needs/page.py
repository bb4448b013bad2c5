"""The page of what waits for what."""

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from fabsched.desktop.desk import Desk
from fabsched.desktop.needs.view import NeedsView
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.words import error_text
from fabsched.model.project import Part, Project, Work
from fabsched.session.edits import Edit, put


class NeedsPage(QWidget):
    """Follows a desk's project."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make a page that follows a desk."""
        super().__init__(parent)
        self._desk = desk
        self.view = NeedsView(self)
        self.trouble = Note(Tone.ERROR, self)
        self.hint = Prose(self, self.view.toolTip())
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        scroll = QScrollArea(self)
        scroll.setWidget(self.view)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        column.addWidget(self.trouble)
        column.addWidget(scroll, 1)
        column.addWidget(self.hint)
        self.setFocusProxy(self.view)
        self.view.joined.connect(self._join)
        self.view.parted.connect(self._part)
        for signal in (desk.opened, desk.changed):
            signal.connect(self.follow)
        desk.troubled.connect(self._show_trouble)

    def follow(self) -> None:
        """Show the project as it is now."""
        session = self._desk.session
        self.view.show_project(session.project if session else None)

    def _join(self, first: str, then: str) -> None:
        self._desk.change(Place.WORK, "join", waiting(first, then))

    def _part(self, first: str, then: str) -> None:
        self._desk.change(Place.WORK, "part", not_waiting(first, then))

    def _show_trouble(self) -> None:
        self.trouble.say(" ".join(error_text(e) for e in self._desk.errors(Place.WORK)))


def waiting(first: str, then: str) -> Edit:
    """The edit that lets one thing wait for another."""

    def edit(project: Project) -> Project:
        item = _item(project, then)
        return put(project, replace(item, after=tuple(dict.fromkeys((*item.after, first)))))

    return edit


def not_waiting(first: str, then: str) -> Edit:
    """The edit that lets one thing no longer wait for another."""

    def edit(project: Project) -> Project:
        item = _item(project, then)
        return put(project, replace(item, after=tuple(i for i in item.after if i != first)))

    return edit


def _item(project: Project, ident: str) -> Part | Work:
    return next(item for item in project.items if item.id == ident)
