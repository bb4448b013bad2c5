"""One way to make a part, as a column."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFormLayout, QFrame, QLabel, QPushButton, QVBoxLayout, QWidget

from fabsched.desktop.compare.bodies import BodiesView
from fabsched.desktop.compare.words import way_name, way_rows
from fabsched.desktop.prose import Prose
from fabsched.desktop.rows import card
from fabsched.session.way_records import ShownWay

WIDE_PX = 292
"""Width of a column."""
NAME_PX, VALUE_PX = 104, 160
"""Widths of what is told, and of what it is."""


class WayCard(QFrame):
    """Shows a way with what can be done about it."""

    def __init__(
        self,
        way: ShownWay,
        currency: str,
        deeds: tuple[Callable[[ShownWay], object], ...],
        parent: QWidget | None = None,
    ) -> None:
        """Show a way.

        Args:
            way: what.
            currency: of prices.
            deeds: takes the way, leaves it to the planner, writes its files.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.way = way
        self.title, self.mark = Prose(self, way_name(way)), Prose(self)
        self.view = BodiesView(self)
        self.values: dict[str, QLabel] = {}
        self.take = QPushButton(self.tr("Take this way"), self)
        self.leave = QPushButton(self.tr("Leave it to the planner"), self)
        self.write = QPushButton(self.tr("Write the pieces into a folder\u2026"), self)
        self._lay_out(currency)
        for button, deed in zip((self.take, self.leave, self.write), deeds, strict=True):
            button.clicked.connect(lambda _checked, deed=deed: deed(way))
        if way.bodies:
            self.view.show_bodies(way.bodies)

    def _lay_out(self, currency: str) -> None:
        self.mark.setMinimumHeight(2 * self.fontMetrics().lineSpacing())
        self.mark.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.setFixedWidth(WIDE_PX)
        self.setAccessibleName(self.title.text())
        font = self.title.font()
        font.setWeight(font.Weight.DemiBold)
        self.title.setFont(font)
        self.mark.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self.take.setToolTip(
            self.tr("Put its parts and work into the project; undo brings it back")
        )
        self.leave.setToolTip(
            self.tr("Keep both ways, and let the planner take the one that is surer")
        )
        self.write.setToolTip(
            self.tr("Plates as DXF and SVG, pieces as STL and 3MF, list of joints")
        )
        column: QVBoxLayout = card(self)
        for widget in (self.title, self.mark, self.view, self.take):
            column.addWidget(widget)
        form = QFormLayout()
        form.setVerticalSpacing(2)
        for name, value in way_rows(self.way, currency):
            form.addRow(self._label(name), self._value(name, value))
        column.addLayout(form)
        column.addStretch(1)
        for button in (self.leave, self.write):
            column.addWidget(button)
        usable = self.way.hindered is None and self.way.figures is not None
        self.take.setEnabled(usable)
        for button in (self.leave, self.write):
            button.setVisible(usable and bool(self.way.pick))

    def _label(self, name: str) -> QLabel:
        label = Prose(self, name)
        label.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        label.setAlignment(Qt.AlignmentFlag.AlignTop)
        label.setFixedWidth(NAME_PX)
        return label

    def _value(self, name: str, value: str) -> QLabel:
        label = self.values[name] = Prose(self, value)
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setAccessibleName(f"{name}: {value}")
        # a column that scrolls does not ask how high text is that wraps
        label.setFixedWidth(VALUE_PX)
        label.setMinimumHeight(label.heightForWidth(VALUE_PX))
        return label

    def say(self, text: str) -> None:
        """Say how it stands among the others: the best, or how it is made now."""
        self.mark.setText(text)
