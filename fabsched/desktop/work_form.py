"""Adding or changing a piece of work or a check, in place."""

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QFormLayout,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QToolButton,
    QWidget,
)

from fabsched.desktop.drafts import Draft
from fabsched.desktop.item_menu import ItemMenu
from fabsched.desktop.line_field import LineField
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.rows import card
from fabsched.desktop.span_box import SpanBox
from fabsched.desktop.timeline.look import SMALL
from fabsched.desktop.work_details import MOST_MINUTES, Around, WorkDetails
from fabsched.files.names import free_name, slug
from fabsched.model.project import Work
from fabsched.model.spread import Spread
from fabsched.session.wording import phrase

USUAL_MINUTES = (30, 45, 90)
"""What new work starts with (our own choice: half again as long, or twice, on a bad day)."""


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
        self._refused = ""
        self.name = LineField(self)
        self.low, self.likely, self.high = (SpanBox(self) for _ in range(3))
        self.after = ItemMenu(self.tr("What has to be done before"), self)
        self.more = QToolButton(self)
        self.details = WorkDetails(self)
        self.back, self.note = Note(Tone.NOTE, self), Note(Tone.ERROR, self)
        self.keep = QPushButton(self.tr("Add"), self)
        self.leave = QPushButton(self.tr("Cancel"), self)
        self._name_fields()
        self._lay_out()
        self.keep.clicked.connect(self.finish)
        self.leave.clicked.connect(self.left.emit)
        self.name.returnPressed.connect(self.finish)
        self.name.textEdited.connect(lambda _text: self.edited.emit())
        for field in (self.low, self.likely, self.high):
            field.valueChanged.connect(lambda _value: self.edited.emit())
        self._times = (self.low, self.likely, self.high, *self.details.late)
        for field in self._times:
            field.refused.connect(self._refuse)
            field.lineEdit().textEdited.connect(lambda _text: self._refuse(""))
        self.after.edited.connect(self.edited)
        self.details.edited.connect(self.edited)
        self.more.toggled.connect(lambda on: self._unfold(on=on))
        self.hide()

    def _name_fields(self) -> None:
        self.name.setAccessibleName(self.tr("Name of the work"))
        self.name.setPlaceholderText(self.tr("What is to be done"))
        self.name.setToolTip(self.tr("What it is called on the timeline and on paper"))
        self.keep.setToolTip(self.tr("Take over what stands here; undo takes it back"))
        self.leave.setToolTip(self.tr("Close this without changing anything"))
        fields = (
            (self.low, self.tr("Time if all goes well")),
            (self.likely, self.tr("Time as you expect it")),
            (self.high, self.tr("Time on a bad day")),
        )
        for field, text in fields:
            field.setRange(0, MOST_MINUTES)
            field.be_narrow()
            field.setAccessibleName(text)
            field.setToolTip(text + self.tr(": write 90, 90 min, 1:30 or 1 h 30"))
        self.more.setText(self.tr("More"))
        self.more.setToolTip(self.tr("Place, skill, when at the soonest, what it looks for"))
        self.more.setCheckable(True)
        self.more.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self._unfold(on=False)

    def _unfold(self, *, on: bool) -> None:
        """Show or hide the details."""
        self.more.setChecked(on)
        arrow = Qt.ArrowType.DownArrow if on else Qt.ArrowType.RightArrow
        self.more.setArrowType(arrow)
        self.details.setVisible(on)

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
        column.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.details)
        column.insertWidget(0, self.back)
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

    def begin(self, work: Work | None, around: Around) -> None:
        """Open for a piece of work, or for a new one.

        Args:
            work: what is changed; None for something new.
            around: what it can refer to; of items everything it could wait for, itself left out.
        """
        self._work = work
        self._taken = frozenset(item.id for item in around.items)
        self.name.setText(work.name if work else "")
        spread = work.minutes if work else Spread(*USUAL_MINUTES)
        fields = (self.low, self.likely, self.high)
        for field, minutes in zip(fields, _whole(spread), strict=True):
            field.setValue(minutes)
        names = {each.id: each.name for each in around.items}
        self.after.offer(names, work.after if work else ())
        self.details.begin(work, around)
        self._unfold(on=False)
        self.keep.setText(self.tr("Change") if work else self.tr("Add"))
        for note in (self.back, self.note):
            note.say("")
        self._refused = ""
        self.show()
        self.name.setFocus(Qt.FocusReason.OtherFocusReason)

    def draft(self) -> Draft:
        """What stands in it now."""
        name, *minutes = self._entered()
        ident = self._work.id if self._work else ""
        after = list(self.after.chosen)
        told = {"work": ident, "name": name, "minutes": minutes, "after": after}
        return {**self.details.draft(), **told}

    def take_draft(self, draft: Draft) -> None:
        """Put back what stood in it; what cannot be read of it is left out."""
        self.name.setText(str(draft.get("name", "")))
        minutes = draft.get("minutes")
        if isinstance(minutes, list):
            for field, value in zip((self.low, self.likely, self.high), minutes, strict=False):
                field.setValue(value if isinstance(value, int) else field.value())
        self.after.choose(draft.get("after"))
        self.details.take_draft(draft)
        self.back.say(phrase("draft-back"))

    def _refuse(self, why: str) -> None:
        """Say why a time that was written is not taken; nothing once something else is written."""
        self._refused = why
        self.note.say(why)

    def finish(self) -> None:
        """Hand the work over, or say what is missing; what was refused has to be looked at first."""
        for field in self._times:
            field.interpretText()
        name, low, likely, high = self._entered()
        if self._refused:
            self._refused = ""
        elif not name:
            self.note.say(phrase("name-missing"))
            self.name.setFocus(Qt.FocusReason.OtherFocusReason)
        elif not low <= likely <= high or high == 0:
            self.note.say(self.tr("The three figures must rise, the last above zero."))
            self.low.setFocus(Qt.FocusReason.OtherFocusReason)
        elif not self.details.late_rises:
            self._unfold(on=True)
            self.note.say(self.tr("The three figures of what may come late must rise."))
            self.details.late[0].setFocus(Qt.FocusReason.OtherFocusReason)
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
        chosen = self.after.chosen
        if self._work is not None:
            kept = self._work.minutes
            same = (minutes.low, minutes.likely, minutes.high) == _whole(kept)
            minutes = kept if same else minutes
            told = replace(self._work, name=name, minutes=minutes, after=chosen)
            return self.details.put(told)
        ident = free_name(slug(name), self._taken)
        return self.details.put(Work(id=ident, name=name, minutes=minutes, after=chosen))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape leaves the form."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)
