"""One choice after a failure on a card: what is done, and what becomes of the weekend then."""

from zoneinfo import ZoneInfo

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QSizePolicy, QWidget

from fabsched.advise.options import Option
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import card
from fabsched.desktop.words import capital, error_text
from fabsched.model.log import Remedy
from fabsched.model.windows import NEVER
from fabsched.session.clock import duration, short, up
from fabsched.session.log_words import (
    lost_text,
    material_text,
    option_line,
    remedy_line,
    stand_text,
)
from fabsched.session.wording import phrase, share

LARGE = 1.9
"""Size of the chance against ordinary text."""


class ChoiceCard(QFrame):
    """Shows one choice; its figures come when they have been worked out.

    Signals:
        taken: it was picked.
    """

    taken = Signal()

    def __init__(self, remedy: Remedy, name: str, detail: str, parent: QWidget) -> None:
        """Make a card without figures.

        Args:
            remedy: what is done.
            name: what it is done about.
            detail: name of a machine or way, where there is one.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.remedy = remedy
        self.title = Prose(self, remedy_line(remedy, name, {remedy.machine: detail}))
        self.chance, self.of = QLabel("\u2026", self), Prose(self, phrase("choice-coming"))
        self.facts, self.best = Prose(self), Prose(self)
        self.spent, self.fault = Prose(self), Note(Tone.ERROR, self)
        self.take = QPushButton(self.tr("Do this"), self)
        self._lay_out()
        self.take.clicked.connect(self.taken)
        self._say()

    def _lay_out(self) -> None:
        self.setFrameShape(QFrame.Shape.StyledPanel)
        column = card(self)
        column.setContentsMargins(12, 10, 12, 10)
        bold, large = self.title.font(), self.chance.font()
        bold.setBold(True)
        large.setPointSizeF(large.pointSizeF() * LARGE)
        self.title.setFont(bold)
        self.best.setFont(bold)
        self.chance.setFont(large)
        for label in (self.title, self.of, self.facts, self.spent, self.best):
            label.setMinimumWidth(1)
        for label in (self.spent, self.of):
            label.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        for widget in (self.title, self.chance, self.of, self.best, self.facts, self.spent):
            column.addWidget(widget)
        column.addWidget(self.fault)
        column.addStretch(1)
        column.addWidget(self.take)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    def show_option(self, option: Option, zone: ZoneInfo, now_s: int) -> None:
        """Show what becomes of it."""
        odds = option.answer.odds
        self.title.setText(option_line(option))
        self.chance.setText(share(odds.on_time))
        self.of.setText(phrase("choice-of"))
        lines = [
            phrase(
                "choice-finish",
                p50=_moment(odds.p50_s, zone, now_s),
                p90=_moment(odds.p90_s, zone, now_s),
            ),
            phrase("choice-hands", time=duration(option.hands_s)),
        ]
        own = []
        if option.machine_s:
            own.append(phrase("choice-machine", time=duration(option.machine_s)))
        if material := material_text(option):
            own.append(phrase("choice-material", what=material))
        lines += [", ".join(own)] if own else []
        lines += [stand] if (stand := stand_text(option)) else []
        self.facts.setText("\n".join(lines))
        gone = {"time": duration(option.spent_s), "laid": lost_text(option)}
        self.spent.setText(phrase("choice-spent", **gone) if option.spent_s else "")
        self._say()

    def show_best(self, *, best: bool) -> None:
        """Say that no other choice is in time more often."""
        self.best.setText(phrase("choice-best") if best else "")
        self._say()

    def show_error(self, error: Exception) -> None:
        """Say why it could not be worked out; it can be picked all the same."""
        self.chance.setText("?")
        self.of.setText("")
        self.fault.say(error_text(error))
        self._say()

    def _say(self) -> None:
        """Hide what is empty, and let a screen reader tell everything at the button."""
        labels = (self.of, self.best, self.facts, self.spent)
        for label in labels:
            label.setVisible(bool(label.text()))
        told = [self.title.text(), f"{self.chance.text()} {self.of.text()}"]
        told += [label.text().replace("\n", ", ") for label in labels[1:] if label.text()]
        self.take.setAccessibleName(". ".join(told))
        self.take.setToolTip(capital(phrase("choice-undo")))


def _moment(moment_s: int | None, zone: ZoneInfo, now_s: int) -> str:
    if moment_s is None or moment_s >= NEVER:
        return phrase("never")
    return short(up(moment_s), zone, now_s)
