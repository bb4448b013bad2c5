"""What the window was like when it was closed, and what was open in it: brought back next time."""

import json
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QMenu

from fabsched.desktop import recent, settings
from fabsched.desktop.recent_views import fill
from fabsched.desktop.recovery import Marker

if TYPE_CHECKING:
    from fabsched.desktop.window import MainWindow

SIZE, PAGE, VIEW = "window/size", "window/page", "window/view"
"""Keys in the settings."""


class Remembering(QObject):
    """Follows a window."""

    def __init__(self, window: "MainWindow") -> None:
        """Put a window back as it was left, and note what is opened in it."""
        super().__init__(window)
        self._window = window
        self._viewed = False
        self._marker = Marker()
        self.menu = QMenu(self.tr("&Recent projects"), window)
        self.menu.setToolTipsVisible(True)
        self.menu.aboutToShow.connect(self._fill)
        self._fill()
        window.desk.opened.connect(self._opened)
        window.desk.planned.connect(self._planned)
        window.part.drafted.connect(lambda: window.plan.show_page(window.part))
        if not (size := settings.data(SIZE)).isEmpty():
            window.restoreGeometry(size)
        page = settings.text(PAGE)
        window.plan.pages.setCurrentIndex(int(page) if page.isdecimal() else 0)

    def save(self) -> None:
        """Keep what the window is like now."""
        self._marker.take_away()
        settings.keep(SIZE, self._window.saveGeometry())
        settings.keep(PAGE, str(self._window.plan.pages.currentIndex()))
        session, view = self._window.desk.session, self._window.plan.timeline
        if session is not None and view.scene is not None:
            scale = view.scale
            kept = [str(session.folder), round(scale.start_s), round(scale.span_s)]
            settings.keep(VIEW, json.dumps(kept))

    def _fill(self) -> None:
        fill(self.menu, self._window.open_folder, lambda: self._window.start.recent.follow())  # noqa: PLW0108 - made later

    def _opened(self) -> None:
        """Put the project first among those opened lately."""
        self._viewed = False
        session = self._window.desk.session
        if session is not None:
            self._marker.name(session.folder)
            recent.note(session.folder, session.project.name)
        self._window.start.recent.follow()
        self._fill()

    def _planned(self) -> None:
        """Show the first plan of a project as large as it was looked at last."""
        session, view = self._window.desk.session, self._window.plan.timeline
        if self._viewed or session is None or session.answer is None or view.scene is None:
            return
        self._viewed = True
        try:
            folder, start_s, span_s = json.loads(settings.text(VIEW) or "[]")
            first_s, last_s = view.scene.shown_s
            if folder == str(session.folder) and first_s <= start_s < last_s and span_s > 0:
                view.look_at(float(start_s), float(span_s))
        except (ValueError, TypeError):
            return
