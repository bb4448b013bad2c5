"""A button that opens a menu of things of which several can be chosen."""

from collections.abc import Collection, Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QMenu, QSizePolicy, QToolButton, QWidget

FEW = 2
"""So many are named on the button; of more it says how many there are."""


class ItemMenu(QToolButton):
    """The button.

    Signals:
        edited: the user has chosen something or let it go.
    """

    edited = Signal()

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        """Make one without items.

        Args:
            text: what is chosen: tooltip, and name for screen readers.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        self.setAccessibleName(text)
        self.setToolTip(text)
        self.setMenu(QMenu(self))
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    @property
    def chosen(self) -> tuple[str, ...]:
        """Ids of what is chosen, in the order of the items."""
        return tuple(action.data() for action in self.menu().actions() if action.isChecked())

    def offer(self, names: Mapping[str, str], chosen: Collection[str]) -> None:
        """Show other items by their names, some of them chosen.

        Args:
            names: name of each item, by its id.
            chosen: ids.
        """
        menu = self.menu()
        menu.clear()
        for ident, name in names.items():
            action = menu.addAction(name)
            action.setData(ident)
            action.setCheckable(True)
            action.setChecked(ident in chosen)
            action.toggled.connect(self._name_chosen)
            action.triggered.connect(lambda _checked: self.edited.emit())
        self.setEnabled(bool(menu.actions()))
        self._name_chosen()

    def choose(self, chosen: object) -> None:
        """Choose exactly these ids; anything but a list of them chooses nothing."""
        for action in self.menu().actions():
            action.setChecked(isinstance(chosen, list) and action.data() in chosen)

    def _name_chosen(self) -> None:
        names = [action.text() for action in self.menu().actions() if action.isChecked()]
        text = ", ".join(names) if len(names) <= FEW else self.tr("%d things") % len(names)
        self.setText(text or self.tr("nothing"))
