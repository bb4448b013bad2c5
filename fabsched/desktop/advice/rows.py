"""Sentences under one another, some with a button beside them that carries them out."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QPushButton, QVBoxLayout, QWidget

from fabsched.desktop.odds.views import CostBar
from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import card

BAR_PX = 150
"""Width of a bar."""


@dataclass(frozen=True, slots=True)
class Press:
    """A further button of a sentence.

    Attributes:
        text: what it says.
        deed: what it does.
        tip: told of it.
    """

    text: str
    deed: Callable[[], object]
    tip: str


@dataclass(frozen=True, slots=True)
class Line:
    """One sentence.

    Attributes:
        text: what it says.
        gain: chance it wins, drawn as a bar; None for no bar.
        button: what the button says; empty for none.
        deed: what the button does.
        tip: of the button; empty for the text.
        more: further buttons.
    """

    text: str
    gain: float | None = None
    button: str = ""
    deed: Callable[[], object] = bool
    tip: str = ""
    more: tuple[Press, ...] = ()


class Lines(QWidget):
    """A titled list of sentences, or nothing."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        """Make an empty one, which is hidden."""
        super().__init__(parent)
        self.title = Prose(self, title)
        font = self.title.font()
        font.setWeight(font.Weight.DemiBold)
        self.title.setFont(font)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 8, 0, 0)
        self._column.setSpacing(4)
        self._column.addWidget(self.title)
        self._cards: list[QFrame] = []
        self.texts: list[str] = []
        self.buttons: list[QPushButton] = []
        self.hide()

    def say(self, lines: Sequence[Line], title: str = "") -> None:
        """Say something else; nothing hides it."""
        if title:
            self.title.setText(title)
        for old in self._cards:
            self._column.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._cards, self.buttons = [], []
        self.texts = [line.text for line in lines]
        most = max((line.gain or 0.0 for line in lines), default=0.0)
        for line in lines:
            self._add(line, most)
        widest = max((button.sizeHint().width() for button in self.buttons), default=0)
        for button in self.buttons:
            button.setMinimumWidth(widest)  # so that the bars beside them stand below one another
        self.setVisible(bool(lines))

    def _add(self, line: Line, most: float) -> None:
        frame = QFrame(self)
        grid = QGridLayout()
        grid.setHorizontalSpacing(12)
        grid.setColumnStretch(0, 1)
        label = Prose(frame, line.text)
        label.setTextFormat(Qt.TextFormat.PlainText)
        grid.addWidget(label, 0, 0)
        if line.gain:
            bar = CostBar(line.gain, most, frame, wins=True)
            bar.setFixedWidth(BAR_PX)
            grid.addWidget(bar, 0, 1)
        first = (Press(line.button, line.deed, line.tip or line.text),) if line.button else ()
        for place, press in enumerate((*first, *line.more), start=2):
            grid.addWidget(self._button(press, frame), 0, place)
        card(frame).addLayout(grid)
        self._column.addWidget(frame)
        self._cards.append(frame)

    def _button(self, press: Press, parent: QWidget) -> QPushButton:
        button = QPushButton(press.text, parent)
        button.setToolTip(press.tip)
        button.setAccessibleDescription(press.tip)
        button.clicked.connect(lambda _checked: press.deed())
        self.buttons.append(button)
        return button
