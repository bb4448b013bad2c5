"""The page of advice: what would win chance, and what is to be had before it begins."""

from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QVBoxLayout, QWidget

from fabsched.advise.counsel import Advice, Counselled
from fabsched.advise.fits import Fit
from fabsched.desktop.advice.ready_chapter import ReadyChapter, response_of
from fabsched.desktop.advice.rows import Line, Lines
from fabsched.desktop.advice.words import deed_text, look_lines
from fabsched.desktop.desk import Desk
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.odds.page import scrolled
from fabsched.desktop.places import Place
from fabsched.desktop.progress_strip import STEPS
from fabsched.desktop.prose import Prose
from fabsched.desktop.words import capital, error_text
from fabsched.model.plan import Answer
from fabsched.model.weekend import Weekend
from fabsched.session.advice_request import AdviceResponse, advice_request, take_advice
from fabsched.session.advice_words import advice_text
from fabsched.session.bench import Bench
from fabsched.session.fit_records import is_short
from fabsched.session.fit_request import FitResponse, fit_request
from fabsched.session.fit_taking import can_take
from fabsched.session.fit_telling import carry_out
from fabsched.session.fit_words import fit_text, obstacle_text
from fabsched.session.wording import phrase, stage


class AdvicePage(QWidget):
    """Follows a desk's plan while it is seen."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make a page.

        Args:
            desk: whose plan.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk = desk
        self._shown: Answer | None = None
        self._asked: dict[str, int] = {}
        self._advice: Counselled | None = None
        self._said: Counselled | None = None
        self._whole = False
        self._fits: FitResponse | None = None
        self.advice = Lines(phrase("advice-title"), self)
        self.obstacles = Lines(phrase("obstacles-title"), self)
        self.fits = Lines(phrase("fit-title"), self)
        self.looks = Lines(phrase("looks-title"), self)
        self.ready = ReadyChapter(desk, self)
        self.hint = Prose(self)
        self.trouble = Note(Tone.ERROR, self)
        self.bar, self.stage = QProgressBar(self), QLabel(self)
        self.stop = QPushButton(self.tr("Cancel"), self)
        self.again = QPushButton(self.tr("Ask for advice"), self)
        self.stop.setToolTip(self.tr("Stop what is being worked out"))
        self.again.setToolTip(self.tr("Weigh what would win chance on the same simulated weekends"))
        self._lay_out()
        self.stop.clicked.connect(self._stop)
        self.again.clicked.connect(self._ask)
        for signal in (desk.opened, desk.changed, desk.planned, desk.estimated):
            signal.connect(self.follow)
        self.follow()

    def _lay_out(self) -> None:
        self.bar.setRange(0, STEPS)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(140)
        self.bar.setAccessibleName(self.tr("Progress"))
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        body = QWidget(self)
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 8, 8)
        line = QHBoxLayout()
        line.addWidget(self.hint, 1)
        work: tuple[QWidget, ...] = (self.stage, self.bar, self.stop, self.again)
        for widget in work:
            line.addWidget(widget)
        column.addLayout(line)
        below: tuple[QWidget, ...] = (
            self.advice,
            self.obstacles,
            self.fits,
            self.looks,
            self.ready,
        )
        column.addWidget(self.trouble)
        for lines in below:
            column.addWidget(lines)
        column.addStretch(1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 6, 0, 0)
        outer.addWidget(scrolled(body, self))

    # What it follows.

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Catch up with the plan."""
        super().showEvent(event)
        self.follow()

    def follow(self) -> None:
        """Turn to the present plan, and have it looked into while this is seen."""
        session = self._desk.session
        answer = session.answer if session and session.answer_is_current else None
        if answer is not self._shown:
            self._forget()
        if not self.isVisible():
            return
        if answer is not None and answer is not self._shown:
            self._shown = answer
            self._ask()
        self._show()

    def _forget(self) -> None:
        for asked in self._asked.values():
            self._desk.errands.drop(asked)
        self._asked, self._shown, self._advice, self._fits = {}, None, None, None
        self._whole = False
        self.trouble.say("")

    def _ask(self) -> None:
        session = self._desk.session
        if session is None or session.answer is None or session.weekend is None:
            return
        weekend, answer, now = session.weekend, session.answer, self._desk.now()
        self.trouble.say("")
        wanted: dict[str, Any] = {"advice": advice_request(session, response_of(session), now)}
        if is_short(weekend, answer):
            entries = session.log.entries
            wanted["fits"] = fit_request(session, weekend, answer, now, entries=entries)
        for name, request in wanted.items():
            self._asked[name] = self._desk.errands.ask(
                request,
                partial(self._take, name),
                failed=partial(self._fail, name),
                progressed=self._tell_progress,
                found=self._take_some,
            )
        self._show()

    def _take(self, name: str, got: AdviceResponse | FitResponse) -> None:
        self._asked.pop(name, None)
        if isinstance(got, AdviceResponse):
            self._advice, self._whole = got.told, True
        else:
            self._fits = got
        self._show()

    def _take_some(self, what: object) -> None:
        """Show what is known so far; what takes long comes after."""
        if isinstance(what, Counselled):
            self._advice = what
            self._show()
        elif isinstance(what, FitResponse):
            self._fits = what
            self._show()

    def _fail(self, name: str, error: Exception) -> None:
        self._asked.pop(name, None)
        self.trouble.say(error_text(error))
        self._show()

    def _stop(self) -> None:
        for asked in self._asked.values():
            self._desk.errands.drop(asked)
        self._asked = {}
        self._show()

    def _tell_progress(self, done: float, code: str) -> None:
        self.bar.setValue(round(STEPS * done))
        self.stage.setText(capital(stage(code)))

    # What it shows.

    def _show(self) -> None:
        session = self._desk.session
        busy = bool(self._asked)
        work: tuple[QWidget, ...] = (self.stage, self.bar, self.stop)
        for widget in work:
            widget.setVisible(busy)
        self.again.setVisible(self._shown is not None and not busy and not self._whole)
        self.hint.setText(hint := self._hint(session))
        self.hint.setVisible(bool(hint))
        self._show_advice()
        self._show_fits(session)
        self.ready.follow()

    def _hint(self, session: Bench | None) -> str:
        if session is None or session.answer is None:
            return phrase("plan-coming" if self._desk.busy else "no-plan")
        if not session.answer_is_current:
            return phrase("advice-outdated")
        if "advice" in self._asked:
            return phrase("advice-more" if self._advice else "advice-coming")
        none = self._whole and self._advice is not None and not self._advice.advice
        return phrase("advice-none") if none else ""

    def _show_advice(self) -> None:
        told = self._once(self._advice) if self._advice else None
        if told is not None and told == self._said:
            return  # a button being pressed stays where it is
        self._said = told
        self.advice.say([self._line(each) for each in told.advice] if told else [])
        self.looks.say([Line(text) for text in look_lines(told)] if told else [])

    def _once(self, told: Counselled) -> Counselled:
        """Advice without what stands below already, among what would make it fit."""
        below = {
            (str(fit.code), fit.subject)
            for fit in (self._fits.fits if self._fits else ())
            if fit.subject
        }
        kept = (each for each in told.advice if (str(each.code), each.subject) not in below)
        return replace(told, advice=tuple(kept))

    def _line(self, each: Advice) -> Line:
        return Line(advice_text(each), each.gain, deed_text(each), partial(self._carry_out, each))

    def _show_fits(self, session: Bench | None) -> None:
        if session is None or session.weekend is None or self._fits is None:
            self.fits.say([])
            self.obstacles.say([])
            return
        weekend = session.weekend
        self.obstacles.say([Line(obstacle_text(each)) for each in self._fits.obstacles])
        self.fits.say([self._fit_line(session, weekend, each) for each in self._fits.fits])

    def _fit_line(self, session: Bench, weekend: Weekend, each: Fit) -> Line:
        text = fit_text(weekend, each)
        button = phrase(f"fit-{each.code}") if can_take(session, weekend, each) else ""
        return Line(text, each.gain, button, partial(self._carry_out, each))

    def _carry_out(self, each: Advice | Fit) -> None:
        """Carry a piece of advice out; undo takes it back."""
        session = self._desk.session
        weekend = session.weekend if session else None
        if session is not None and weekend is not None:
            deed = (
                partial(carry_out, session, weekend, each, self._desk.now())
                if isinstance(each, Fit)
                else partial(take_advice, session, each)
            )
            self._desk.attempt(Place.PARTS, deed)
            errors = self._desk.errors(Place.PARTS)
            self.trouble.say(" ".join(error_text(error) for error in errors))
