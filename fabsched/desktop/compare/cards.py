"""As many ways side by side as there is room for; the others wait until they are asked for."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QWidget

from fabsched.desktop.compare.card import WIDE_PX, WayCard

AIR_PX = 10
"""Between two cards."""


class CardsRow(QScrollArea):
    """Cards in a row that never has to be scrolled sideways."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__(parent)
        self.cards: list[WayCard] = []
        self._first: tuple[int, ...] = ()
        body = QWidget(self)
        self._row = QHBoxLayout(body)
        self._row.setContentsMargins(0, 0, 0, 4)
        self._row.setSpacing(AIR_PX)
        self._row.addStretch(1)
        self.setWidget(body)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(self.tr("Ways to make it"))

    def add(self, card: WayCard) -> None:
        """Add a card behind the others."""
        self.cards.append(card)
        self._row.insertWidget(len(self.cards) - 1, card)
        self._show()

    def clear(self) -> None:
        """Take all cards away."""
        for old in self.cards:
            self._row.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.cards, self._first = [], ()

    def prefer(self, numbers: Sequence[int]) -> None:
        """Show some cards before others where there is no room for all.

        Args:
            numbers: of these cards, the most wanted first.
        """
        self._first = tuple(numbers)
        self._show()

    @property
    def room(self) -> int:
        """How many cards fit side by side."""
        return max(1, (self.width() + AIR_PX) // (WIDE_PX + AIR_PX))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Show as many as there is room for now."""
        super().resizeEvent(event)
        self._show()

    def _show(self) -> None:
        order = dict.fromkeys((*self._first, *range(len(self.cards))))
        shown = [number for number in order if number < len(self.cards)][: self.room]
        for number, card in enumerate(self.cards):
            card.setVisible(number in shown)
