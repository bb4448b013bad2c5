"""What can be done after something went wrong: the choices side by side, one look and one click."""

from collections.abc import Iterable

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from fabsched.advise.options import Option
from fabsched.desktop.bench.choice_card import ChoiceCard
from fabsched.desktop.bench.pieces_asked import PiecesAsked
from fabsched.desktop.bench.teller import Teller
from fabsched.desktop.desk import Desk
from fabsched.desktop.places import Place
from fabsched.desktop.prose import Prose
from fabsched.model.log import Remedy
from fabsched.model.project import Part
from fabsched.model.weekend import Weekend
from fabsched.session.asking_poses import pieces_requests, plates_possible, pose_requests
from fabsched.session.bench import Bench
from fabsched.session.log_requests import (
    OptionRequest,
    OptionResponse,
    PiecesResponse,
    PoseRequest,
    PoseResponse,
    ReplanResponse,
)
from fabsched.session.log_words import gone_lines
from fabsched.session.way_records import Pieces
from fabsched.session.ways import take
from fabsched.session.wording import phrase

CARD_PX = 210
"""Least width of a card (our own choice)."""


class Cards(QWidget):
    """Cards beside one another, as many in a row as there is room for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make it empty."""
        super().__init__(parent)
        self.cards: list[ChoiceCard] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 6, 0)
        self._grid.setSpacing(10)

    def add_card(self, card: ChoiceCard) -> None:
        """Show another card behind the others."""
        self.cards.append(card)
        card.show()
        self._lay()

    def show_cards(self, cards: list[ChoiceCard]) -> None:
        """Show other cards; those before are gone."""
        for card in self.cards:
            self._grid.removeWidget(card)
            card.hide()
            card.deleteLater()
        self.cards = cards
        self._lay()

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """A card wide; as high as the cards need."""
        return QSize(CARD_PX, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put as many into a row as fit."""
        super().resizeEvent(event)
        self._lay()

    def _lay(self) -> None:
        across = max(1, self.width() // CARD_PX)
        for place, card in enumerate(self.cards):
            self._grid.addWidget(card, place // across, place % across)
        for column in range(self._grid.columnCount()):
            self._grid.setColumnStretch(column, 1 if column < across else 0)
        self._grid.setRowStretch(len(self.cards) // across + 1, 1)


class ChoicesPage(QWidget):
    """Follows what went wrong last.

    Signals:
        wanted: something has gone wrong, and there is something to choose.
        settled: nothing is to choose any more.
        compared: id of a part that is to be compared with plates and pieces.
    """

    wanted = Signal()
    settled = Signal()
    compared = Signal(str)

    def __init__(self, desk: Desk, teller: Teller, parent: QWidget | None = None) -> None:
        """Make a page that follows a desk.

        Args:
            desk: whose weekend.
            teller: writes down what was chosen.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self._teller = desk, teller
        self._ground: ReplanResponse | None = None
        self._about = ""
        self._asked: list[int] = []
        self._options: list[Option] = []
        self._looked_for = 0
        self.title, self.gone = Prose(self), Prose(self)
        self.more = Prose(self, phrase("choice-more"))
        self.pieces = PiecesAsked(desk.errands, self)
        self.cards = Cards(self)
        self.later = QPushButton(self.tr("Decide later"), self)
        self.plates: list[QPushButton] = []
        self._leads: tuple[Part, ...] = ()
        self._below = QHBoxLayout()
        self._lay_out()
        self.later.clicked.connect(self.settled)
        self.pieces.found.connect(self._add_pieces)
        for signal in (desk.opened, desk.planned):
            signal.connect(self.follow)
        self.follow()

    def _lay_out(self) -> None:
        font = self.title.font()
        font.setPointSizeF(font.pointSizeF() * 1.3)
        self.title.setFont(font)
        for label in (self.title, self.gone, self.more, self.pieces):
            label.setMinimumWidth(1)
        scroll = QScrollArea(self)
        scroll.setWidget(self.cards)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.later.setToolTip(self.tr("Leave it open; the choices stay on this page"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        column.addWidget(self.title)
        column.addWidget(self.gone)
        column.addWidget(scroll, 1)
        column.addWidget(self.more)
        column.addWidget(self.pieces)
        self._below.addWidget(self.later)
        self._below.addStretch(1)
        column.addLayout(self._below)

    def follow(self) -> None:
        """Show the choices there are now; ask for what becomes of each when there are others."""
        session = self._desk.session
        found = session.replanned if session else None
        if session is None or found is None:
            if session is None or session.answer_is_current:
                self._clear()
            return
        if found is not self._ground:
            self._ground = found
            self._show(session, found)

    def _show(self, session: Bench, found: ReplanResponse) -> None:
        self._drop()
        trouble = found.rest.trouble
        if trouble is None or not found.remedies:
            self._clear(found)
            return
        name = found.weekend.activity(trouble.subject).name
        self.title.setText(phrase("choice-title", what=name))
        self.gone.setText(_gone(session, found, trouble.subject))
        self.gone.setVisible(bool(self.gone.text()))
        requests = session.option_requests()
        self.cards.show_cards([self._card(found.weekend, request.remedy) for request in requests])
        for card, request in zip(self.cards.cards, requests, strict=True):
            if found.first is not None and request.remedy == found.first.remedy:
                card.show_option(found.first, session.project.zone, self._teller.now_s)
            self._ask(card, request)
        for more in pose_requests(session, found):
            self._ask_for_poses(more)
        self.more.setVisible(bool(self._looked_for))
        self.pieces.ask(pieces_requests(session, found))
        self._offer_plates(plates_possible(session, found))
        self.later.show()
        if self._about != trouble.subject:
            self._about = trouble.subject
            self.wanted.emit()

    def _card(self, weekend: Weekend, remedy: Remedy) -> ChoiceCard:
        card = self._new_card(weekend, remedy)
        card.taken.connect(lambda: self._take(remedy))
        return card

    def _new_card(self, weekend: Weekend, remedy: Remedy) -> ChoiceCard:
        detail = weekend.station(remedy.machine).name if remedy.machine else ""
        return ChoiceCard(remedy, weekend.activity(remedy.subject).name, detail, self.cards)

    def _offer_plates(self, parts: Iterable[Part]) -> None:
        """A button for each part that could be made of plates and pieces, which leads to that page."""
        for button in self.plates:
            self._below.removeWidget(button)
            button.hide()
            button.deleteLater()
        self._leads = tuple(parts)
        self.plates = [self._lead(part) for part in self._leads]
        for place, button in enumerate(self.plates, start=1):
            self._below.insertWidget(place, button)
            button.show()

    def _lead(self, part: Part) -> QPushButton:
        button = QPushButton(self.tr("Plate or print? %s") % part.name.replace("&", "&&"), self)
        button.setToolTip(
            self.tr("Compare printing it whole with cutting plates out of it and printing the rest")
        )
        button.clicked.connect(lambda: self.compared.emit(part.id))
        return button

    def _take(self, remedy: Remedy) -> None:
        """Pick a choice; what is left to see then is the plan."""
        self._teller.choose(remedy)
        self._about = ""
        self.settled.emit()

    def _add_pieces(self, response: PiecesResponse) -> None:
        """A card for a part of plates and pieces; the way to compare more of them, if there are."""
        session, found, pieces = self._desk.session, self._ground, response.pieces
        if not response.more:
            self._offer_plates([part for part in self._leads if part.id != response.part])
        if session is not None and found is not None and pieces is not None:
            card = self._new_card(found.weekend, pieces.option.remedy)
            card.taken.connect(lambda: self._take_pieces(pieces))
            self._add(card, pieces.option, session)
            self._rank()

    def _take_pieces(self, pieces: Pieces) -> None:
        """Put the way into the project; what is left to see then is the plan."""
        session = self._desk.session
        if session is not None and self._desk.attempt(
            Place.PARTS, lambda: take(session, pieces.part, pieces.way)
        ):
            self._about = ""
            self.settled.emit()

    def _ask(self, card: ChoiceCard, request: OptionRequest) -> None:
        """Have one choice worked out; its card fills as soon as it is."""

        def then(response: OptionResponse) -> None:
            session = self._desk.session
            if session is not None:
                card.show_option(response.option, session.project.zone, self._teller.now_s)
            self._options.append(response.option)
            self._ended(request.id)

        def failed(error: Exception) -> None:
            card.show_error(error)
            self._ended(request.id)

        self._asked.append(self._desk.errands.ask(request, then, failed=failed))

    def _ask_for_poses(self, request: PoseRequest) -> None:
        """Have other poses looked for; each gets a card of its own once it is worked out."""

        def then(response: PoseResponse) -> None:
            session, found = self._desk.session, self._ground
            if session is not None and found is not None:
                session.accept_poses(response)
                for option in response.options:
                    self._add(self._card(found.weekend, option.remedy), option, session)
            ended()

        def ended(_: Exception | None = None) -> None:
            self._looked_for -= 1
            self.more.setVisible(bool(self._looked_for))
            self._ended(asked)

        self._looked_for += 1
        asked = self._desk.errands.ask(request, then, failed=ended)
        self._asked.append(asked)

    def _add(self, card: ChoiceCard, option: Option, session: Bench) -> None:
        card.show_option(option, session.project.zone, self._teller.now_s)
        self._options.append(option)
        self.cards.add_card(card)

    def _ended(self, ident: int) -> None:
        self._asked.remove(ident)
        self._rank()

    def _rank(self) -> None:
        """Once all are there, say which is in time most often; plates and pieces are not waited for."""
        if self._asked:
            return
        chances = {o.remedy: o.answer.odds.on_time for o in self._options}
        most = max(chances.values(), default=0.0)
        for card in self.cards.cards:
            card.show_best(best=most > 0 and chances.get(card.remedy) == most)

    def _clear(self, ground: ReplanResponse | None = None) -> None:
        """Nothing is to choose."""
        self._drop()
        self._ground = ground
        self.title.setText(phrase("choice-none"))
        self.gone.hide()
        self.more.hide()
        self.later.hide()
        self._offer_plates(())
        self.cards.show_cards([])
        if self._about:
            self._about = ""
            self.settled.emit()

    def _drop(self) -> None:
        for ident in self._asked:
            self._desk.errands.drop(ident)
        self.pieces.drop()
        self._asked, self._options, self._looked_for = [], [], 0


def _gone(session: Bench, found: ReplanResponse, subject: str) -> str:
    """What the failure has cost already, that it should not weigh, and what is left of a sheet."""
    past = session.log.state.past
    return "\n".join(gone_lines(past, subject, found.ground.mass_g, found.stock))
