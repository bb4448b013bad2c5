"""Says who did something, among those there are."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QWidget


class WhoRow(QWidget):
    """A box to tick for everybody there is.

    Signals:
        changed: somebody was ticked or unticked.
    """

    changed = Signal()

    def __init__(
        self, people: tuple[tuple[str, str], ...], by: tuple[str, ...], parent: QWidget
    ) -> None:
        """Make a row.

        Args:
            people: (id, name) of everybody there is.
            by: ids of those who are taken to have done it, the first in charge.
            parent: what it stands on.
        """
        super().__init__(parent)
        self._by = by
        self.boxes = {ident: QCheckBox(name, self) for ident, name in people}
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        for ident, box in self.boxes.items():
            box.setChecked(ident in by)
            box.toggled.connect(self.changed)
            row.addWidget(box)
        row.addStretch()

    @property
    def by(self) -> tuple[str, ...]:
        """Ids of those who did it: who was in charge stays so if they had a hand in it."""
        ticked = [ident for ident, box in self.boxes.items() if box.isChecked()]
        return tuple(
            sorted(
                ticked,
                key=lambda ident: self._by.index(ident) if ident in self._by else len(self._by),
            )
        )
