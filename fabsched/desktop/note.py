"""A remark in place: an icon and a text that wraps."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from functools import partial

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from fabsched.desktop.icons import coloured
from fabsched.desktop.prose import Prose
from fabsched.desktop.timeline.look import BLUE, ORANGE, SKY, VERMILLION, look
from fabsched.session.wording import phrase


class Tone(StrEnum):
    """How grave a remark is; also the name of its icon."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class Note(QWidget):
    """Shows one remark, or nothing."""

    def __init__(self, tone: Tone, parent: QWidget | None = None) -> None:
        """Make an empty one, which is hidden."""
        super().__init__(parent)
        self._tone = tone
        self._icon, self._label = QLabel(self), Prose(self)
        self._label.setTextFormat(Qt.TextFormat.PlainText)
        self._label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._label.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self._label.setMinimumWidth(1)
        self._icon.setAlignment(Qt.AlignmentFlag.AlignTop)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        row.addWidget(self._icon, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self._label, 1)
        self._paint_icon()
        self.hide()

    @property
    def text(self) -> str:
        """What it says."""
        return self._label.text()

    def say(self, text: str) -> None:
        """Say something else; nothing hides it."""
        self._label.setText(text)
        self._label.setAccessibleName(f"{phrase(f'tone-{self._tone}')}: {text}" if text else "")
        self.setVisible(bool(text))

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Follow a change of colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._paint_icon()

    def _paint_icon(self) -> None:
        side = QFontMetrics(self.font()).height()
        made = coloured(self._tone, self._colour())
        self._icon.setPixmap(made.pixmap(QSize(side, side), self.devicePixelRatio()))

    def _colour(self) -> QColor:
        """Strong enough on the ground of the palette: dark hues in light, light ones in dark."""
        dark = QColor(look(self.palette(), self.font()).scheme.ground).lightness() < 128
        match self._tone:
            case Tone.ERROR:
                return QColor(VERMILLION)
            case Tone.WARNING:
                return QColor(ORANGE if dark else "#9A6A00")
            case Tone.NOTE:
                return QColor(SKY if dark else BLUE)


@dataclass(frozen=True, slots=True)
class Said:
    """A remark, with the step that puts it right where there is one.

    Attributes:
        text: the remark.
        cure: what the button under it says; empty for no button.
        deed: what it does.
    """

    text: str
    cure: str = ""
    deed: Callable[[], object] = field(default=bool, compare=False)


class Notes(QWidget):
    """Several remarks under one another, or nothing."""

    def __init__(self, tone: Tone, parent: QWidget | None = None) -> None:
        """Make it empty, which hides it."""
        super().__init__(parent)
        self._tone = tone
        self._said: tuple[Said, ...] = ()
        self._buttons: list[QPushButton] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self.hide()

    @property
    def texts(self) -> tuple[str, ...]:
        """What they say."""
        return tuple(said.text for said in self._said)

    @property
    def buttons(self) -> tuple[QPushButton, ...]:
        """The buttons of those that can be put right, in order."""
        return tuple(self._buttons)

    def say(self, remarks: Iterable[Said]) -> None:
        """Say something else."""
        wanted = tuple(remarks)
        if wanted == self._said:
            self._said = wanted
            return
        self._said = wanted
        self._buttons.clear()
        while (item := self._column.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for place, said in enumerate(wanted):
            note = Note(self._tone, self)
            self._column.addWidget(note)
            note.say(said.text)
            if said.cure:
                self._offer(place, said)
        self.setVisible(bool(wanted))

    def _offer(self, place: int, said: Said) -> None:
        """A button under a remark; what it does is looked up when it is pressed."""
        button = QPushButton(said.cure, self)
        button.setToolTip(said.text)
        button.clicked.connect(partial(self._press, place))
        self._column.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        self._buttons.append(button)

    def _press(self, place: int) -> None:
        self._said[place].deed()
