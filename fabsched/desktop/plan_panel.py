"""The plan: timeline, what its shapes mean, what stands in its way, and the usual cautions."""

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Notes, Said, Tone
from fabsched.desktop.page_words import PageWords
from fabsched.desktop.pinning import Pinning
from fabsched.desktop.places import EVERYWHERE, Place
from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import ShortLabel
from fabsched.desktop.steps_panel import StepsPanel
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.legend import draw_legend, legend_px
from fabsched.desktop.timeline.look import look
from fabsched.desktop.timeline.overview import Overview
from fabsched.desktop.timeline.past import past_of
from fabsched.desktop.timeline.scene import scene
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.desktop.words import brief_cautions, cautions, error_text, next_text
from fabsched.model.plan import Answer
from fabsched.session.wording import phrase

LOW_PX = 780
"""With less height than this the cautions are told in a line (our own choice)."""
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
    """Follows a desk's plan.

    Signals:
        told_time: the line at the present moment has moved.
    """

    told_time = Signal()

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make a panel that follows a desk."""
        super().__init__(parent)
        self._desk = desk
        self._shown: Answer | None = None
        self.trouble = Note(Tone.ERROR, self)
        self.hint = Prose(self)
        self.pages = QStackedWidget(self)
        self.words = PageWords(self.pages, self)
        self.lanes = QWidget(self)
        self.timeline, self.steps = TimelineView(self), StepsPanel(self)
        self.pinning = Pinning(desk, self.timeline)
        self.overview, self.legend = Overview(self), Legend(self)
        self.next = ShortLabel(self)
        self.cautions = Notes(Tone.WARNING, self)
        self._lay_out()
        self._clock = QTimer(self)
        self._clock.setInterval(NOW_MS)
        self._clock.timeout.connect(self.tell_time)
        self._clock.start()
        self.timeline.selected.connect(self.steps.choose)
        self.steps.chosen.connect(self.timeline.select)
        self.timeline.moved.connect(lambda: self.overview.show_view(self.timeline.scale))
        self.overview.wanted.connect(self.timeline.look_at)
        for signal in (desk.opened, desk.changed, desk.planned, desk.started, desk.rested):
            signal.connect(self.follow)
        desk.troubled.connect(self._show_trouble)

    def _lay_out(self) -> None:
        self.hint.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self.next.setAccessibleDescription(self.tr("What to do now"))
        inner = QVBoxLayout(self.lanes)
        inner.setContentsMargins(0, 6, 0, 0)
        inner.addWidget(self.hint, 1)
        inner.addWidget(self.timeline, 1)
        inner.addWidget(self.overview)
        inner.addWidget(self.legend)
        self.pages.setAccessibleName(self.tr("Plan"))
        self.words.setAccessibleName(self.tr("How the plan is shown"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.trouble)
        column.addWidget(self.next)
        column.addWidget(self.words)
        column.addWidget(self.pages, 1)
        column.addWidget(self.cautions)

    def add_page(self, page: QWidget, way: QAction, subject: int) -> None:
        """Add a page, the action that shows it, and the subject it belongs to."""
        self.words.add(page, way, subject)

    def show_page(self, page: QWidget) -> None:
        """Bring a page to the front."""
        self.pages.setCurrentWidget(page)
        page.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_lanes(self) -> None:
        """Bring the timeline to the front."""
        self.pages.setCurrentWidget(self.lanes)
        self.timeline.setFocus(Qt.FocusReason.OtherFocusReason)

    def show_steps(self) -> None:
        """Bring the list of steps to the front."""
        self.pages.setCurrentWidget(self.steps)
        self.steps.setFocus(Qt.FocusReason.OtherFocusReason)

    def follow(self) -> None:
        """Show the plan as it is now."""
        session = self._desk.session
        answer = session.answer if session else None
        weekend = session.weekend if session else None
        if answer is not self._shown:
            self._shown = answer
            past = past_of(session.log.state, weekend) if session and weekend else ()
            made = scene(weekend, answer, past) if weekend and answer else None
            self.overview.set_scene(made)
            self.timeline.set_scene(made)
            self.steps.set_scene(made)
            self._say_cautions()
        self.timeline.set_stale(stale=session is not None and not session.answer_is_current)
        self.tell_time()
        self._show_hint()

    def tell_time(self) -> None:
        """Move the line at the present moment, and say what is to be done at it."""
        now_s, shown = int(self._desk.now().timestamp()), self.timeline.scene
        self.timeline.set_now(now_s)
        self.overview.set_now(now_s)
        self.steps.set_now(now_s)
        session = self._desk.session
        current = shown is not None and session is not None and session.answer_is_current
        self.next.setText(next_text(shown, now_s) if shown and current else "")
        self.next.setToolTip(self.next.text())
        self.told_time.emit()

    def _show_hint(self) -> None:
        """Say what to do where there is no plan yet."""
        session = self._desk.session
        empty = session is not None and not session.project.items
        busy = self._desk.busy
        code = "plan-coming" if busy else "plan-from-nothing" if empty else "no-plan"
        self.hint.setText(phrase(code))
        planned = self._shown is not None
        self.hint.setVisible(not planned)
        for widget in (self.timeline, self.overview, self.legend, self.next):
            widget.setVisible(planned)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Shorten the cautions where there is little height."""
        super().resizeEvent(event)
        self._say_cautions()

    def _say_cautions(self) -> None:
        """The usual cautions, in a line where the plan would be left no room beside them."""
        if self._shown is None:
            self.cautions.say(())
        elif self.height() < LOW_PX:
            self.cautions.say([Said(brief_cautions(self._shown))])
        else:
            self.cautions.say(map(Said, cautions(self._shown)))

    def _show_trouble(self) -> None:
        """What stands in the way of a plan, unless it is told better where its cause is."""
        session = self._desk.session
        texts = [error_text(error) for error in self._desk.errors(*EVERYWHERE)]
        if (
            session is not None
            and session.project.items
            and (blocking := self._desk.errors(Place.PLAN))
        ):
            problems = session.problems
            bad = [part.name for part in session.project.parts if part.id in problems]
            bad_parts = [phrase("parts-in-the-way", what=", ".join(bad))] if bad else []
            texts += bad_parts or [error_text(error) for error in blocking]
        self.trouble.say(" ".join(texts))
