"""Adding or changing a piece of work, in place: name, minutes and what it waits for."""

from collections.abc import Collection
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QFormLayout,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QMenu,
    QPushButton,
    QToolButton,
    QWidget,
)

from fabsched.desktop.drafts import Draft
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.rows import card
from fabsched.desktop.span_box import SpanBox
from fabsched.desktop.timeline.look import SMALL
from fabsched.files.names import slug
from fabsched.model.project import Part, Work
from fabsched.model.spread import Spread
from fabsched.session.wording import phrase

MOST_MINUTES = 10_000
"""A week; longer work is no weekend's (our own choice)."""

USUAL_MINUTES = (30, 45, 90)
"""What new work starts with (our own choice: half again as long, or twice, on a bad day)."""


def fresh_id(name: str, taken: Collection[str]) -> str:
    """An id for files from a name, with a number where it is taken.

    >>> fresh_id("Wire it", {"wire-it"})
    'wire-it-2'
    """
    stem = slug(name)
    ident, number = stem, 2
    while ident in taken:
        ident, number = f"{stem}-{number}", number + 1
    return ident


def _whole(minutes: Spread) -> tuple[int, int, int]:
    """As the fields show them; fractions written by hand are kept unless a figure is changed."""
    return round(minutes.low), round(minutes.likely), round(minutes.high)


class WorkForm(QFrame):
    """The form.

    Signals:
        ready: the work as it was entered.
        left: the user does not want it after all.
        edited: the user has typed or chosen something; ask `draft`.
    """

    ready = Signal(object)
    left = Signal()
    edited = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty form, which is hidden."""
        super().__init__(parent)
        self._work: Work | None = None
        self._taken: frozenset[str] = frozenset()
        self.name = QLineEdit(self)
        self.low, self.likely, self.high = (SpanBox(self) for _ in range(3))
        self.after = QToolButton(self)
        self.note = Note(Tone.ERROR, self)
        self.keep, self.leave = QPushButton(self), QPushButton(self.tr("Cancel"), self)
        self._name_fields()
        self._lay_out()
        self.keep.clicked.connect(self.finish)
        self.leave.clicked.connect(self.left.emit)
        self.name.returnPressed.connect(self.finish)
        self.name.textEdited.connect(lambda _text: self.edited.emit())
        for field in (self.low, self.likely, self.high):
            field.valueChanged.connect(lambda _value: self.edited.emit())
        self.hide()

    def _name_fields(self) -> None:
        self.name.setAccessibleName(self.tr("Name of the work"))
        self.name.setPlaceholderText(self.tr("What is to be done"))
        fields = (
            (self.low, self.tr("Time if all goes well")),
            (self.likely, self.tr("Time as you expect it")),
            (self.high, self.tr("Time on a bad day")),
        )
        for field, text in fields:
            field.setRange(0, MOST_MINUTES)
            field.setAccessibleName(text)
            field.setToolTip(text + self.tr(": write 90, 90 min, 1:30 or 1 h 30"))
        self.after.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.after.setAccessibleName(self.tr("What has to be done before"))
        self.after.setToolTip(self.tr("What has to be done before"))
        self.after.setMenu(QMenu(self.after))

    def _lay_out(self) -> None:
        minutes = QGridLayout()
        minutes.setVerticalSpacing(0)
        fields = (self.low, self.likely, self.high)
        texts = (self.tr("goes well"), self.tr("as expected"), self.tr("bad day"))
        for place, (field, text) in enumerate(zip(fields, texts, strict=True)):
            minutes.addWidget(self._caption(text), 0, place)
            minutes.addWidget(field, 1, place)
            minutes.setColumnStretch(place, 1)
        buttons = QHBoxLayout()
        buttons.addWidget(self.keep)
        buttons.addWidget(self.leave)
        buttons.addStretch(1)
        form = QFormLayout()
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.addRow(self.tr("&Name"), self.name)
        label = QLabel(self.tr("&Time"), self)
        label.setBuddy(self.low)
        form.addRow(label, minutes)
        form.addRow(self.tr("&After"), self.after)
        column = card(self)
        column.addLayout(form)
        column.addWidget(self.note)
        column.addLayout(buttons)

    def _caption(self, text: str) -> QLabel:
        """What a figure means, small above it."""
        caption = QLabel(text, self)
        font = caption.font()
        font.setPointSizeF(font.pointSizeF() * SMALL)
        caption.setFont(font)
        caption.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        return caption

    def begin(self, work: Work | None, others: tuple[Part | Work, ...]) -> None:
        """Open for a piece of work, or for a new one.

        Args:
            work: what is changed; None for something new.
            others: everything it could wait for, itself left out.
        """
        self._work = work
        self._taken = frozenset(item.id for item in others)
        self.name.setText(work.name if work else "")
        spread = work.minutes if work else Spread(*USUAL_MINUTES)
        fields = (self.low, self.likely, self.high)
        for field, minutes in zip(fields, _whole(spread), strict=True):
            field.setValue(minutes)
        self._offer(others, work.after if work else ())
        self.keep.setText(self.tr("Change") if work else self.tr("Add"))
        self.note.say("")
        self.show()
        self.name.setFocus(Qt.FocusReason.OtherFocusReason)

    def draft(self) -> Draft:
        """What stands in it now."""
        name, *minutes = self._entered()
        after = [action.data() for action in self.after.menu().actions() if action.isChecked()]
        ident = self._work.id if self._work else ""
        return {"work": ident, "name": name, "minutes": minutes, "after": after}

    def take_draft(self, draft: Draft) -> None:
        """Put back what stood in it; what cannot be read of it is left out."""
        self.name.setText(str(draft.get("name", "")))
        minutes, after = draft.get("minutes"), draft.get("after")
        if isinstance(minutes, list):
            for field, value in zip((self.low, self.likely, self.high), minutes, strict=False):
                field.setValue(value if isinstance(value, int) else field.value())
        for action in self.after.menu().actions():
            action.setChecked(isinstance(after, list) and action.data() in after)
        self.note.say(phrase("draft-back"))

    def _offer(self, others: tuple[Part | Work, ...], chosen: tuple[str, ...]) -> None:
        menu = self.after.menu()
        menu.clear()
        for item in others:
            action = menu.addAction(item.name)
            action.setData(item.id)
            action.setCheckable(True)
            action.setChecked(item.id in chosen)
            action.toggled.connect(self._name_chosen)
            action.triggered.connect(lambda _checked: self.edited.emit())
        self.after.setEnabled(bool(others))
        self._name_chosen()

    def _name_chosen(self) -> None:
        names = [action.text() for action in self.after.menu().actions() if action.isChecked()]
        text = ", ".join(names) if len(names) <= 2 else self.tr("%d things") % len(names)
        self.after.setText(text or self.tr("nothing"))

    def finish(self) -> None:
        """Hand the work over, or say what is missing."""
        name, low, likely, high = self._entered()
        if not name:
            self.note.say(phrase("name-missing"))
            self.name.setFocus(Qt.FocusReason.OtherFocusReason)
        elif not low <= likely <= high or high == 0:
            self.note.say(self.tr("The three figures must rise, the last above zero."))
            self.low.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self.ready.emit(self._made(name, Spread(low, likely, high)))

    def _entered(self) -> tuple[str, int, int, int]:
        return (
            self.name.text().strip(),
            self.low.value(),
            self.likely.value(),
            self.high.value(),
        )

    def _made(self, name: str, minutes: Spread) -> Work:
        chosen = tuple(a.data() for a in self.after.menu().actions() if a.isChecked())
        if self._work is not None:
            kept = self._work.minutes
            same = (minutes.low, minutes.likely, minutes.high) == _whole(kept)
            minutes = kept if same else minutes
            return replace(self._work, name=name, minutes=minutes, after=chosen)
        ident = fresh_id(name, self._taken)
        return Work(id=ident, name=name, minutes=minutes, after=chosen)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape leaves the form."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)
