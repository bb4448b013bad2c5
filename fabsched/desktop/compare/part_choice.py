"""The part that is compared: offered first is one that has plates."""

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QWidget

from fabsched.desktop.desk import Desk
from fabsched.desktop.steady_fields import OneOf
from fabsched.session.plates_request import PlatesRequest, PlatesResponse
from fabsched.session.ways import printed


class PartChoice(OneOf):
    """Offers the printed parts of a desk's project."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__(parent)
        self._desk = desk
        self._asked: int | None = None
        self._looked_at: tuple[str, ...] | None = None
        self._by_hand = False
        self.setAccessibleName(self.tr("Part"))
        self.setToolTip(self.tr("Which part to compare the ways for"))
        self.activated.connect(lambda _place: self._settle())

    @property
    def chosen(self) -> str:
        """Id of the part that is chosen; empty if there is none."""
        return str(self.currentData() or "")

    def choose(self, ident: str) -> None:
        """Choose a part for good; the first where there is none of that id."""
        self._settle()
        self.setCurrentIndex(max(0, self.findData(ident)))

    def forget(self) -> None:
        """Another project was opened."""
        self._desk.errands.drop(self._asked)
        self._asked, self._looked_at, self._by_hand = None, None, False

    def follow(self) -> None:
        """Offer the parts there are now."""
        session = self._desk.session
        names = [(p.id, p.name) for p in printed(session.project.parts)] if session else []
        if names != [(self.itemData(i), self.itemText(i)) for i in range(self.count())]:
            before = self.chosen
            with QSignalBlocker(self):
                self.clear()
                for ident, name in names:
                    self.addItem(name, ident)
                self.setCurrentIndex(max(0, self.findData(before)))
        self.setEnabled(bool(names))

    def look_for_plates(self) -> None:
        """Have the first part with plates found, unless one was chosen or all were looked at."""
        session = self._desk.session
        if session is None or self._by_hand or self.count() < 2:
            return
        parts = printed(session.project.parts)
        marks = tuple(session.mark(part.id) for part in parts)
        if marks == self._looked_at:
            return
        self._looked_at = marks
        self._desk.errands.drop(self._asked)
        request = PlatesRequest(parts=parts, folder=session.folder, shop=session.shop)
        self._asked = self._desk.errands.ask(request, self._offer)

    def _settle(self) -> None:
        """What is chosen now was meant."""
        self._by_hand = True
        self._desk.errands.drop(self._asked)

    def _offer(self, got: PlatesResponse) -> None:
        self._asked = None
        place = self.findData(got.part)
        if place >= 0 and not self._by_hand:
            self.setCurrentIndex(place)
