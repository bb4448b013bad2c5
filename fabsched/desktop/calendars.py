"""Has large calendars read in the background, with a bar that says so and a way to stop it."""

from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QWidget

from fabsched.desktop.desk import Desk
from fabsched.desktop.prose import Prose
from fabsched.session.calendar_reading import (
    CalendarRead,
    CalendarReadRequest,
    slow_calendars,
    stamp_of,
    take_in,
    take_refusal,
)
from fabsched.session.wording import phrase

Failed = Callable[[Exception], object]


class CalendarBar(QWidget):
    """Hidden unless a calendar is being read."""

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        """Nothing is read yet.

        Args:
            desk: its errands have it read; another project stops that.
            parent: the widget it lies in.
        """
        super().__init__(parent)
        self._errands = desk.errands
        self._asked: int | None = None
        self.told, self.bar = Prose(self), QProgressBar(self)
        self.stop = QPushButton(self.tr("Cancel"), self)
        self.stop.setToolTip(self.tr("Do not read the calendar; nothing is changed"))
        self.bar.setRange(0, 0)
        self.bar.setFixedWidth(180)
        self.bar.setAccessibleName(self.tr("Progress"))
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 6, 16, 6)
        row.addWidget(self.told, 1)
        row.addWidget(self.bar)
        row.addWidget(self.stop)
        self.stop.clicked.connect(self.leave)
        desk.opened.connect(self.leave)
        self.hide()

    def read(
        self, files: Iterable[Path], then: Callable[[], object], failed: Failed | None = None
    ) -> None:
        """Have files read one after the other, then go on; at once if there are none.

        Args:
            files: the calendars.
            then: called when all are known; never if it was stopped.
            failed: takes the error of one that cannot be read; by default `then` is called all the
                same, which will say so.
        """
        self.leave()
        settled = tuple(files)
        if not settled:
            then()
            return
        self.told.setText(phrase("calendar-reading", file=settled[0].name))
        self.show()
        self._asked = self._errands.ask(
            CalendarReadRequest(path=settled[0]),
            partial(self._take, settled[1:], then, failed),
            failed=partial(self._refuse, (settled[0], stamp_of(settled[0])), then, failed),
        )

    def before(self, folder: Path | None, then: Callable[[], object]) -> None:
        """Have the large calendars of a project's shop read first.

        Args:
            folder: of the project, or its project file; None for none.
            then: called when all are known.
        """
        home = folder.parent if folder is not None and folder.is_file() else folder
        self.read(slow_calendars(home) if home else (), then)

    def _take(
        self,
        rest: tuple[Path, ...],
        then: Callable[[], object],
        failed: Failed | None,
        got: CalendarRead,
    ) -> None:
        self._asked = None
        take_in(got)
        self.read(rest, then, failed)

    def _refuse(
        self,
        file: tuple[Path, tuple[int, int]],
        then: Callable[[], object],
        failed: Failed | None,
        error: Exception,
    ) -> None:
        self.leave()
        take_refusal(*file, error)
        if failed is None:
            then()
        else:
            failed(error)

    def leave(self) -> None:
        """Stop reading."""
        self._errands.drop(self._asked)
        self._asked = None
        self.hide()
