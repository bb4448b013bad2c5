"""The page of the odds: when it is likely done, and all that bears on that."""

from collections.abc import Callable, Iterable
from functools import partial
from zoneinfo import ZoneInfo

from PySide6.QtCore import Qt
from PySide6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.odds.book import OddsBook
from fabsched.desktop.odds.cost_list import CostList
from fabsched.desktop.odds.judged import JudgedChapter
from fabsched.desktop.odds.views import NeededView, SpreadView
from fabsched.desktop.odds.words import (
    apart_lines,
    block_of,
    gain_lines,
    names_in,
    needed_text,
    worth_telling,
    wrong_text,
)
from fabsched.desktop.places import Place
from fabsched.desktop.progress_strip import STEPS
from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import ShortLabel
from fabsched.desktop.words import capital, error_text, odds_text
from fabsched.odds.told import most_dangerous
from fabsched.session.learning import learn_again, unlearn
from fabsched.session.odds_words import danger_text, decision_lines, range_text
from fabsched.session.project_session import Session
from fabsched.session.wording import phrase, stage

WIDE_PX = 900
"""With so much width the pictures stand side by side (our own choice)."""


class Chapter(QWidget):
    """A heading with sentences under it, or nothing."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        """Make an empty one, which is hidden."""
        super().__init__(parent)
        self.title, self.text = QLabel(title, self), Prose(self)
        font = self.title.font()
        font.setWeight(font.Weight.DemiBold)
        self.title.setFont(font)
        self.text.setTextFormat(Qt.TextFormat.PlainText)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(3)
        column.addWidget(self.title)
        column.addWidget(self.text)
        self.hide()

    def say(self, lines: Iterable[str]) -> None:
        """Say something else; nothing hides it."""
        self.text.setText("\n".join(line for line in lines if line))
        self.setVisible(bool(self.text.text()))


class OddsPage(QWidget):
    """Follows the odds of a desk's plan while it is seen."""

    def __init__(
        self,
        desk: Desk,
        book: OddsBook,
        show_block: Callable[[str], object],
        save: Callable[[], object],
        parent: QWidget | None = None,
    ) -> None:
        """Make a page.

        Args:
            desk: whose plan.
            book: what is known of its odds.
            show_block: shows the block of that id on the timeline.
            save: asks where to save a picture of this.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self._book, self._show_block = desk, book, show_block
        self.sentence, self.range = Prose(self), Prose(self)
        self.spread, self.needed = SpreadView(self), NeededView(self)
        self.costs = CostList(self._show, self)
        self.costs_title = Chapter(phrase("setbacks-title"), self)
        self.danger = Chapter(self.tr("The most dangerous block"), self)
        self.show_danger = QPushButton(self.tr("Show it on the timeline"), self)
        self.decisions = Chapter(phrase("decide-title"), self)
        self.gains = Chapter(phrase("gains-title"), self)
        self.apart = Chapter(phrase("apart-title"), self)
        self.judged = JudgedChapter(self._weigh, self)
        self.trouble = Note(Tone.ERROR, self)
        self.bar, self.stage = QProgressBar(self), ShortLabel(self)
        self.stop, self.again = QPushButton(self.tr("Cancel"), self), QPushButton(self)
        self.save = QPushButton(self.tr("Save picture\u2026"), self)
        self._tell_what_for()
        self._lay_out()
        self.stop.clicked.connect(book.stop)
        self.again.clicked.connect(self._try_again)
        self.save.clicked.connect(save)
        self.show_danger.clicked.connect(self._show_worst)
        book.changed.connect(self.follow)
        book.progressed.connect(self._tell_progress)
        for signal in (desk.opened, desk.changed, desk.planned):
            signal.connect(self.follow)
        self.follow()

    # How it is put together.

    def _tell_what_for(self) -> None:
        tips = (
            (self.again, self.tr("Work out what costs chance, and when to decide anew")),
            (self.save, self.tr("Save the odds as a picture")),
            (self.show_danger, self.tr("Mark the block, and show it on the timeline")),
        )
        for button, text in tips:
            button.setToolTip(text)

    def _lay_out(self) -> None:
        for label in (self.sentence, self.range):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.range.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self.bar.setRange(0, STEPS)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(140)
        self.bar.setAccessibleName(self.tr("Progress"))
        self.again.setText(self.tr("Find it out"))
        self.stop.setToolTip(self.tr("Stop finding out what bears on the odds"))
        body = QWidget(self)
        self._column = QVBoxLayout(body)
        self._column.setContentsMargins(0, 0, 8, 8)
        self._column.addWidget(self.sentence)
        self._column.addWidget(self.range)
        self._plots = QBoxLayout(QBoxLayout.Direction.TopToBottom)
        self._plots.setSpacing(14)
        for view in (self.spread, self.needed):
            self._plots.addWidget(view, 1)
        self._column.addLayout(self._plots)
        self._column.addLayout(self._progress_line())
        self._column.addWidget(self.trouble)
        for widget in (self.costs_title, self.costs, self.danger):
            self._column.addWidget(widget)
        self._column.addWidget(self.show_danger, 0, Qt.AlignmentFlag.AlignLeft)
        for chapter in (self.decisions, self.gains, self.apart, self.judged):
            self._column.addWidget(chapter)
        self._column.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        column.addWidget(scrolled(body, self))
        self.setFocusProxy(self.save)

    def _progress_line(self) -> QHBoxLayout:
        line = QHBoxLayout()
        line.addWidget(self.stage, 50)
        line.addStretch(1)  # where there is no stage, so that no button takes all the room
        for widget in (self.bar, self.stop, self.again, self.save):
            line.addWidget(widget)
        return line

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put the pictures side by side where there is room."""
        super().resizeEvent(event)
        wide = self.width() >= WIDE_PX
        way = QBoxLayout.Direction.LeftToRight if wide else QBoxLayout.Direction.TopToBottom
        self._plots.setDirection(way)

    # What it shows.

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Have everything found out."""
        super().showEvent(event)
        self._book.want()
        self.follow()

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802 - Qt's name
        """The next plan need not be looked into before this is seen again."""
        super().hideEvent(event)
        self._book.spare()

    def follow(self) -> None:
        """Show what is known by now."""
        session = self._desk.session
        known = session is not None and session.answer_is_current
        self.save.setEnabled(known)
        if not self.isVisible():
            return
        self.judged.follow(session)
        if session is None or not known:
            self._show_nothing()
            return
        self._show_odds(session)
        self._show_all(session)
        self._show_work()

    def _weigh(self, name: str, off: bool) -> None:
        """Let what was learnt of something no longer count, or count again; the plan follows."""
        session = self._desk.session
        if session is not None:
            self._desk.attempt(Place.LOG, partial(unlearn if off else learn_again, session, name))
            errors = self._desk.errors(Place.LOG)
            self.trouble.say(" ".join(error_text(error) for error in errors))
            self.judged.follow(session)

    def tell_time(self) -> None:
        """Move the line at the present moment."""
        session = self._desk.session
        if session is not None and session.weekend is not None:
            zone = ZoneInfo(session.weekend.zone)
            self.needed.show_outlooks(self._book.outlooks, self._now_s(), zone)

    def _now_s(self) -> int:
        return int(self._desk.now().timestamp())

    def _show_nothing(self) -> None:
        session = self._desk.session
        empty = session is None or session.answer is None
        code = "no-plan" if empty else "odds-outdated"
        self.sentence.setText(phrase("plan-coming" if empty and self._desk.busy else code))
        self.range.setText("")
        self.spread.show_odds(None, 0, ZoneInfo("UTC"))
        self.needed.show_outlooks((), 0, ZoneInfo("UTC"))
        for view in (self.spread, self.needed):
            view.hide()
        self._clear()
        for widget in (self.bar, self.stage, self.stop, self.again):
            widget.hide()
        self.trouble.say("")

    def _show_odds(self, session: Session) -> None:
        answer, weekend = session.answer, session.weekend
        if answer is None or weekend is None:
            return
        zone = ZoneInfo(weekend.zone)
        odds = self._book.found.told.odds if self._book.found else answer.odds
        self.sentence.setText(odds_text(odds, weekend.deadline_s, zone))
        self.range.setText(range_text(odds))
        self.range.setVisible(bool(self.range.text()))
        self.spread.show_odds(odds, weekend.deadline_s, zone)
        self.spread.setAccessibleDescription(self.sentence.text())
        self.spread.show()
        self.tell_time()
        told = needed_text(self._book.outlooks, self._now_s(), weekend)
        self.needed.setAccessibleDescription(told)
        self.needed.setToolTip(told)
        self.needed.setVisible(len(self._book.outlooks) > 1)

    def _show_all(self, session: Session) -> None:
        found, weekend = self._book.found, session.weekend
        if found is None or weekend is None:
            self._clear()
            return
        names = names_in(session.project, weekend)
        costly = worth_telling(found.told.setbacks)
        self.costs_title.title.setText(phrase("setbacks-title" if costly else "no-setbacks"))
        self.costs_title.show()
        self.costs_title.text.hide()
        self.costs.show_setbacks(costly, names)
        dangers = found.told.dangers
        self.danger.say((danger_text(dangers, names), wrong_text(dangers, names)))
        self.show_danger.setVisible(most_dangerous(dangers) is not None)
        self.decisions.say(decision_lines(found.told.decisions, names, weekend))
        none = [phrase("gains-none")] if found.gains else []
        self.gains.say(list(gain_lines(found.gains, names)) or none)
        self.apart.say(apart_lines(found.isolated, names))

    def _clear(self) -> None:
        self.costs.show_setbacks((), {})
        self.costs_title.hide()
        self.show_danger.hide()
        for chapter in (self.danger, self.decisions, self.gains, self.apart):
            chapter.say(())

    def _show_work(self) -> None:
        book = self._book
        for widget in (self.bar, self.stage, self.stop):
            widget.setVisible(book.asking)
        self.again.setVisible(not book.asking and book.found is None)
        self.trouble.say(error_text(book.error) if book.error else "")
        if book.asking:
            self.stage.setText(phrase("odds-coming"))

    def _tell_progress(self, done: float, code: str) -> None:
        self.bar.setValue(round(STEPS * done))
        self.stage.setText(capital(stage(code)))

    # What is pressed.

    def _try_again(self) -> None:
        self._book.want()
        self._book.again()

    def _show_worst(self) -> None:
        worst = most_dangerous(self._book.found.told.dangers) if self._book.found else None
        if worst is not None:
            self._show(worst.id)

    def _show(self, ident: str) -> None:
        """Show the block of a run, work or gate."""
        session = self._desk.session
        if session is not None and session.answer is not None and session.weekend is not None:
            self._show_block(block_of(session.weekend, session.answer.course, ident))


def scrolled(body: QWidget, parent: QWidget) -> QScrollArea:
    """A page that scrolls up and down."""
    area = QScrollArea(parent)
    area.setWidget(body)
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area
