"""Says after a crash what is still there, and offers to go on with it."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from fabsched.desktop import drafts, part_page, work_panel
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.recovery import Left
from fabsched.model.errors import Fact
from fabsched.session.wording import phrase

FORMS = (work_panel.DRAFT, part_page.DRAFT)
"""Forms that keep what is typed in them."""


def left_text(left: Left) -> str:
    """What is there of a project that was open.

    Args:
        left: what was found of it.
    """
    facts: dict[str, Fact] = {"name": left.name, "moment": left.moment, "entries": left.entries}
    text = phrase("recovered-planned" if left.planned else "recovered", **facts)
    typed = any(drafts.kept(left.folder, form) is not None for form in FORMS)
    return f"{text} {phrase('recovered-typed')}" if typed else text


class RecoveredBar(QWidget):
    """Hidden unless there is something to say."""

    def __init__(self, open_folder: Callable[[Path], object], parent: QWidget) -> None:
        """Make it.

        Args:
            open_folder: opens a project.
            parent: the widget it lies in.
        """
        super().__init__(parent)
        self._left: list[Left] = []
        self.note = Note(Tone.NOTE, self)
        self.go_on = QPushButton(self.tr("Go on with it"), self)
        self.leave = QPushButton(self.tr("Close"), self)
        self.leave.setToolTip(self.tr("Go on without it; it stays as it is in its folder"))
        self.go_on.setToolTip(self.tr("Open this project"))
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 10, 16, 6)
        row.addWidget(self.note, 1)
        row.addWidget(self.go_on)
        row.addWidget(self.leave)
        self.go_on.clicked.connect(lambda: self._take(open_folder))
        self.leave.clicked.connect(self._next)
        self.hide()

    def tell(self, left: tuple[Left, ...]) -> None:
        """Say what was found, one project after the other."""
        self._left = list(left)
        self._show()

    def _take(self, open_folder: Callable[[Path], object]) -> None:
        folder = self._left[0].folder
        self._next()
        open_folder(folder)

    def _next(self) -> None:
        self._left = self._left[1:]
        self._show()

    def _show(self) -> None:
        self.setVisible(bool(self._left))
        self.note.say(left_text(self._left[0]) if self._left else "")
