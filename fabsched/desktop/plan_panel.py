"""The plan: timeline, what its shapes mean, what stands in its way, and the usual cautions."""

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from fabsched.desktop.desk import Desk, Place
from fabsched.desktop.note import Note, Notes, Said, Tone
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.legend import draw_legend, legend_px
from fabsched.desktop.timeline.look import look
from fabsched.desktop.timeline.scene import scene
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.desktop.words import cautions, error_text
from fabsched.model.plan import Answer
from fabsched.session.wording import phrase

EVERYWHERE = (Place.START, Place.PROJECT, Place.SHOP, Place.FILES)
"""Places of errors that belong to no panel of their own."""

NOW_MS = 20_000
"""How often the line at the present moment moves (our own choice)."""


class Legend(QWidget):
    """What the shapes of the timeline mean."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make it; it is as high as its width asks for."""
        super().__init__(parent)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName(self.tr("What the shapes mean"))

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """It does."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802 - Qt's name
        """Height at that width."""
        return round(legend_px(look(self.palette(), self.font()), width))

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Wide, and as high as that asks for."""
        return QSize(640, self.heightForWidth(640))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        area = Rect(x=0, y=0, w=self.width(), h=self.height())
        draw_legend(painter, look(self.palette(), self.font()), area)
        painter.end()


class PlanPanel(QWidget):
    """Follows a desk's plan."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make a panel that follows a desk."""
        super().__init__(parent)
        self._desk = desk
        self._shown: Answer | None = None
        self.trouble = Note(Tone.ERROR, self)
        self.timeline = TimelineView(self)
        self.hint = QLabel(self)
        self.legend = Legend(self)
        self.cautions = Notes(Tone.WARNING, self)
        self._lay_out()
        self._clock = QTimer(self)
        self._clock.setInterval(NOW_MS)
        self._clock.timeout.connect(self.tell_time)
        self._clock.start()
        for signal in (desk.opened, desk.changed, desk.planned, desk.started, desk.rested):
            signal.connect(self.follow)
        desk.troubled.connect(self._show_trouble)

    def _lay_out(self) -> None:
        self.hint.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.hint.setWordWrap(True)
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.trouble)
        column.addWidget(self.hint, 1)
        column.addWidget(self.timeline, 1)
        column.addWidget(self.legend)
        column.addWidget(self.cautions)

    def follow(self) -> None:
        """Show the plan as it is now."""
        session = self._desk.session
        answer = session.answer if session else None
        weekend = session.weekend if session else None
        if answer is not self._shown:
            self._shown = answer
            made = scene(weekend, answer) if weekend and answer else None
            self.timeline.set_scene(made)
            self.cautions.say(map(Said, cautions(answer) if answer else ()))
        self.timeline.set_stale(stale=session is not None and not session.answer_is_current)
        self.tell_time()
        self._show_hint()

    def tell_time(self) -> None:
        """Move the line at the present moment."""
        self.timeline.set_now(int(self._desk.now().timestamp()))

    def _show_hint(self) -> None:
        """Say what to do where there is no plan yet."""
        session = self._desk.session
        empty = session is not None and not session.project.items
        code = "plan-from-nothing" if empty else "plan-coming" if self._desk.busy else "no-plan"
        self.hint.setText(phrase(code))
        self.hint.setVisible(self._shown is None)
        self.timeline.setVisible(self._shown is not None)
        self.legend.setVisible(self._shown is not None)

    def _show_trouble(self) -> None:
        """What stands in the way of a plan, unless it is told better where its cause is."""
        session = self._desk.session
        texts = [error_text(error) for error in self._desk.errors(*EVERYWHERE)]
        if (
            session is not None
            and session.project.items
            and (blocking := self._desk.errors(Place.PLAN))
        ):
            bad_parts = [phrase("parts-in-the-way")] if session.problems else []
            texts += bad_parts or [error_text(error) for error in blocking]
        self.trouble.say(" ".join(texts))
