"""Choosing what is measured: by clicks on the solid, or by ticks in a list."""

from math import dist

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from fabsched.desktop.dimensions.fields import Card
from fabsched.estimate.measuring import measured
from fabsched.model.features import Dimension, Feature, Found
from fabsched.session.fit_outcomes import dimension_name, feature_text
from fabsched.session.wording import phrase

ROWS_SHOWN = 6
"""Features in sight without scrolling."""
TWO = 2
"""So many features make a dimension at most."""


class PickCard(Card):
    """Shows what was found and what is chosen of it.

    Signals:
        chosen: the choice has changed; ask `dimension` and `features`.
        ready: the dimension that is to be kept, and a name for it.
        left: it was closed.
    """

    chosen = Signal()
    ready = Signal(object, str)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one, which is hidden."""
        super().__init__("", parent)
        self.keep.setText(self.tr("Keep it\u2026"))
        self._found: Found | None = None
        self._chosen: list[int] = []
        self.says = self.told(self)
        self.says.setAccessibleName(self.tr("What is measured"))
        self.list = QListWidget(self)
        self.list.setAccessibleName(self.tr("Holes, pegs and faces"))
        self.list.setToolTip(self.tr("Tick one hole, or two things that run parallel"))
        self.list.setMinimumHeight(self.fontMetrics().height() * 3 // 2 * ROWS_SHOWN)
        self.column.addWidget(self.says)
        self.column.addWidget(self.list)
        self.foot(self.list)
        self.list.itemChanged.connect(self._ticked)
        self.keep.clicked.connect(self._keep)

    @property
    def features(self) -> tuple[Feature, ...]:
        """What is chosen, in the order it was."""
        found = self._found
        return tuple(found.features[number] for number in self._chosen) if found else ()

    @property
    def marked(self) -> NDArray[np.bool_] | None:
        """(m,) which triangles belong to what is chosen; None if nothing is."""
        found = self._found
        return np.isin(found.owner, self._chosen) if found and self._chosen else None

    @property
    def dimension(self) -> Dimension | None:
        """What is measured between the chosen ones; None if nothing is."""
        return measured(self.features)

    def begin(self) -> None:
        """Open; what there is comes later."""
        self._found, self._chosen = None, []
        self.list.clear()
        self._follow(phrase("features-coming"))
        self.show()

    def refuse(self, text: str) -> None:
        """Say why nothing was found."""
        self._follow(text)

    def offer(self, found: Found | None) -> None:
        """Show what was found."""
        self._found, self._chosen = found, []
        features = found.features if found else ()
        with QSignalBlocker(self.list):
            self.list.clear()
            for feature in features:
                item = QListWidgetItem(feature_text(feature), self.list)
                item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
                item.setCheckState(Qt.CheckState.Unchecked)
        if features:
            self.list.setCurrentRow(0)
        self._follow()

    def click(self, face: int) -> None:
        """Choose what a triangle belongs to; one that is chosen is let go."""
        number = self._owner(face)
        if number is None:
            self._follow(phrase("features-beside") if self._found else "")
            return
        self._choose(number, on=number not in self._chosen)

    def _owner(self, face: int) -> int | None:
        """The place of the feature a triangle belongs to; None if it belongs to none."""
        if self._found is None or not 0 <= face < len(self._found.owner):
            return None
        number = int(self._found.owner[face])
        return number if number >= 0 else None

    def _ticked(self, item: QListWidgetItem) -> None:
        self._choose(self.list.row(item), on=item.checkState() is Qt.CheckState.Checked)

    def _choose(self, number: int, *, on: bool) -> None:
        """A third one lets go of the others."""
        rest = [each for each in self._chosen if each != number]
        if on and len(rest) >= TWO:
            rest = []
        self._chosen = [*rest, number] if on else rest
        with QSignalBlocker(self.list):
            for row in range(self.list.count()):
                ticked = row in self._chosen
                state = Qt.CheckState.Checked if ticked else Qt.CheckState.Unchecked
                self.list.item(row).setCheckState(state)
            self.list.setCurrentRow(number)
        self._follow()

    def _follow(self, text: str = "") -> None:
        found = self.dimension
        self.keep.setEnabled(found is not None)
        self.says.setText(text or self._says(found))
        self.chosen.emit()

    def _says(self, found: Dimension | None) -> str:
        if found is not None:
            return dimension_name(found, dist(*found.ends_mm))
        if self._found is None or not self._found.features:
            return phrase("features-none")
        return phrase(("pick-one", "pick-second", "pick-other")[len(self._chosen)])

    def _keep(self) -> None:
        found = self.dimension
        if found is not None:
            self.ready.emit(found, dimension_name(found, dist(*found.ends_mm)))

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802 - Qt's name
        """Let go of everything."""
        super().hideEvent(event)
        self._chosen = []
        self.left.emit()
