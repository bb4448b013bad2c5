"""Asks for what there is to say beside what happened: when, how far it got, until when."""

from collections.abc import Callable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.bench.moments import MomentField
from fabsched.desktop.bench.teller import Facts
from fabsched.desktop.bench.who_row import WhoRow
from fabsched.desktop.line_field import LineField
from fabsched.desktop.steady_fields import OneOf, Slide
from fabsched.session.clock import duration

STEP = 5
"""Points of a hundred the slider moves at a key (our own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked.

    Attributes:
        title: what happened to what.
        zone: where moments are shown.
        now_s: the present moment; what has happened cannot lie after it.
        at_s: when it happened, as far as is known.
        share: how far it got; None if that is not asked.
        whole_s: how long all of it takes, to say how much of it that is; None if not known.
        until_s: the moment to come; None if that is not asked.
        why: what the maker said of it.
        at_is_asked: whether one may say when.
        subjects: (id, name) of what it may be said of, the first for the block itself; none if that
            is not asked.
        people: (id, name) of those who may have done it; none if that is not asked.
        by: ids of those who are taken to have.
    """

    title: str
    zone: ZoneInfo
    now_s: int
    at_s: int
    share: float | None = None
    whole_s: float | None = None
    until_s: int | None = None
    why: str = ""
    at_is_asked: bool = True
    subjects: tuple[tuple[str, str], ...] = ()
    people: tuple[tuple[str, str], ...] = ()
    by: tuple[str, ...] = ()


class Details(QDialog):
    """Asks one question; Enter takes what it shows."""

    def __init__(self, asked: Question, then: Callable[[Facts], None], parent: QWidget) -> None:
        """Make a dialog.

        Args:
            asked: what it asks.
            then: takes the answer.
            parent: the window it belongs to.
        """
        super().__init__(parent)
        self._asked, self._then = asked, then
        self.at = MomentField(asked.at_s, asked.zone, self)
        self.at.keep_until(asked.now_s)
        self.until = MomentField(asked.until_s or asked.now_s, asked.zone, self)
        self.about = OneOf(self)
        self.who = WhoRow(asked.people, asked.by, self)
        self.share, self.told = Slide(Qt.Orientation.Horizontal, self), QLabel(self)
        self.why = LineField(asked.why, self)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel, self
        )
        self._dress()
        self._lay_out()
        self.share.valueChanged.connect(self._say_share)
        self.who.changed.connect(self._check_who)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        first = self.share if asked.share is not None else self.until
        (self.at if asked.share is None and asked.until_s is None else first).setFocus()
        self.accepted.connect(lambda: self._then(self.facts))
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)

    @property
    def facts(self) -> Facts:
        """What was answered."""
        asked = self._asked
        return Facts(
            at_s=self.at.moment_s,
            until_s=None if asked.until_s is None else self.until.moment_s,
            share=None if asked.share is None else self.share.value() / 100,
            why=self.why.text().strip(),
            about=self.about.currentData() or "",
            by=self.who.by if self.who.by != asked.by else (),
        )

    def _dress(self) -> None:
        self.setWindowTitle(self._asked.title)
        for ident, name in self._asked.subjects:
            self.about.addItem(name, ident)
        self.about.setToolTip(self.tr("What is late: this itself, or something it needs"))
        self.share.setRange(0, 100)
        self.share.setSingleStep(STEP)
        self.share.setPageStep(2 * STEP)
        self.share.setMinimumWidth(220)
        self.share.setValue(round(100 * (self._asked.share or 0)))
        self.share.setToolTip(self.tr("How far it got; what was laid down by then is gone"))
        self.at.setToolTip(self.tr("When it happened"))
        self.until.setToolTip(self.tr("Not before then"))
        self.why.setPlaceholderText(self.tr("for you to remember"))
        self.why.setToolTip(self.tr("Why, in your own words; it may stay empty"))
        self._say_share(self.share.value())

    def _lay_out(self) -> None:
        form = QFormLayout()
        far = QHBoxLayout()
        far.addWidget(self.share, 1)
        far.addWidget(self.told)
        share = QWidget(self)
        far.setContentsMargins(0, 0, 0, 0)
        share.setLayout(far)
        for text, field, shown, target in (
            (self.tr("Wha&t is late"), self.about, bool(self._asked.subjects), self.about),
            (self.tr("How &far it got"), share, self._asked.share is not None, self.share),
            (self.tr("&Until"), self.until, self._asked.until_s is not None, self.until),
            (self.tr("&When"), self.at, self._asked.at_is_asked, self.at),
            (self.tr("Wh&o did it"), self.who, bool(self._asked.people), self.who),
            (self.tr("Wh&y"), self.why, True, self.why),
        ):
            label = QLabel(text, self)
            label.setBuddy(target)
            target.setAccessibleName(text.replace("&", ""))
            form.addRow(label, field)
            form.setRowVisible(field, shown)
        column = QVBoxLayout(self)
        title = QLabel(self._asked.title, self)
        font = title.font()
        font.setBold(True)
        title.setFont(font)
        for item in (title, self.buttons):
            column.addWidget(item)
        column.insertLayout(1, form)

    def _check_who(self) -> None:
        """Somebody has done it."""
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(bool(self.who.by))

    def _say_share(self, value: int) -> None:
        """How far, in a hundred and as time."""
        whole_s = self._asked.whole_s
        text = f"{value} %"
        if whole_s:
            text += self.tr(", %s of %s") % (duration(value / 100 * whole_s), duration(whole_s))
        self.told.setText(text)
