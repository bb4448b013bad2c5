"""What one sees with no project open: what to do, and the ways to begin."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.recent_views import Open, RecentList
from fabsched.desktop.rows import IconLabel
from fabsched.desktop.words import error_text
from fabsched.files.routes import PROGRAMS, ROUTES
from fabsched.model.estimates import Route
from fabsched.session.wording import phrase


class DropTarget(QFrame):
    """A place that shows that files may be dropped; the whole window takes them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make it."""
        super().__init__(parent)
        self._held = False
        self.setMinimumHeight(150)
        mark, label, kinds = IconLabel(self, 40), QLabel(phrase("drop-here"), self), Prose(self)
        font = label.font()
        font.setWeight(font.Weight.DemiBold)
        label.setFont(font)
        kinds.setText(_kinds())
        mark.show_icon("files", "")
        column = QVBoxLayout(self)
        column.addStretch(1)
        for part in (mark, label, kinds):
            part.setAlignment(Qt.AlignmentFlag.AlignCenter)
            column.addWidget(part)
        column.addStretch(1)

    def welcome(self, *, files: bool) -> None:
        """Show that files held over the window may be let go."""
        self._held = files
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw a dashed edge; a solid one on a light ground while files are held over it."""
        painter, palette = QPainter(self), self.palette()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._held:
            painter.setBrush(palette.base())
            painter.setPen(QPen(palette.color(palette.ColorRole.Highlight), 3))
        else:
            faint = palette.color(palette.ColorRole.PlaceholderText)
            painter.setPen(QPen(faint, 2, Qt.PenStyle.DashLine))
        painter.drawRoundedRect(self.rect().adjusted(2, 2, -2, -2), 8, 8)
        painter.end()


def _kinds() -> str:
    """What can be dropped: which kinds of files there are for what."""
    flats = [ending for ending, route in ROUTES.items() if route is Route.CUT]
    solids = [ending for ending in ROUTES if ending not in PROGRAMS and ending not in flats]
    programs = [ending for ending in ROUTES if ending in PROGRAMS]
    return "\n".join(
        phrase(code, known=", ".join(ending[1:].upper() for ending in endings))
        for code, endings in (
            ("drop-solids", solids),
            ("drop-flats", flats),
            ("drop-programs", programs),
        )
    )


class WayButton(QPushButton):
    """A large button that does what an action does."""

    def __init__(self, way: QAction, parent: QWidget) -> None:
        """Make a button for an action."""
        super().__init__(parent)
        self._way = way
        self.setIconSize(QSize(24, 24))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumHeight(56)
        self.setAutoDefault(True)
        self.clicked.connect(lambda _checked: way.trigger())
        way.changed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        """Look as the action does."""
        text = self._way.text().replace("&", "")
        self.setText(f" {text}")
        self.setIcon(self._way.icon())
        self.setToolTip(self._way.toolTip())
        self.setEnabled(self._way.isEnabled())
        self.setAccessibleName(text)


class StartView(QWidget):
    """Offers the ways to begin."""

    def __init__(
        self, desk: Desk, ways: Sequence[QAction], open_folder: Open, parent: QWidget | None = None
    ) -> None:
        """Make it.

        Args:
            desk: whose troubles it tells.
            ways: what can be done now; each becomes a large button.
            open_folder: opens a project that was open before.
            parent: the widget it lies in.
        """
        super().__init__(parent)
        self._desk = desk
        self.recent = RecentList(open_folder, self)
        self.trouble = Note(Tone.ERROR, self)
        self.target = DropTarget(self)
        self.buttons = tuple(WayButton(way, self) for way in ways)
        self._lay_out()
        desk.troubled.connect(self._show_trouble)

    def _lay_out(self) -> None:
        title, text = QLabel(phrase("start-title"), self), Prose(self, phrase("start-text"))
        font = title.font()
        font.setPointSizeF(font.pointSizeF() * 2)
        font.setWeight(font.Weight.DemiBold)
        title.setFont(font)
        ways = QHBoxLayout()
        ways.setSpacing(12)
        for button in self.buttons:
            ways.addWidget(button, 1)
        column = QVBoxLayout()
        column.setSpacing(16)
        column.addStretch(2)
        for part in (title, text, self.target):
            column.addWidget(part)
        column.addLayout(ways)
        column.addWidget(self.recent)
        column.addWidget(self.trouble)
        column.addStretch(3)
        row = QHBoxLayout(self)
        row.addStretch(1)
        row.addLayout(column, 3)
        row.addStretch(1)

    @property
    def first(self) -> QPushButton:
        """Where one most likely begins: with what was done last, or with something new."""
        ready = [button for button in self.recent.buttons if button.isEnabled()]
        return ready[0] if ready else self.buttons[0]

    def _show_trouble(self) -> None:
        self.trouble.say(" ".join(error_text(error) for error in self._desk.errors(Place.START)))
