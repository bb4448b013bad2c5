"""All that helps to decide, wired up: the odds, ways to make a part, advice."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from fabsched.desktop.advice.page import AdvicePage
from fabsched.desktop.asking import Asks
from fabsched.desktop.compare.page import ComparePage
from fabsched.desktop.desk import Desk
from fabsched.desktop.headline import Headline
from fabsched.desktop.odds.book import OddsBook
from fabsched.desktop.odds.page import OddsPage
from fabsched.desktop.odds.picture import draw_odds
from fabsched.desktop.part_page import PartPage
from fabsched.desktop.places import Place
from fabsched.desktop.plan_panel import PlanPanel
from fabsched.session.wording import phrase


class Deciding(QObject):
    """The pages on which one decides; made once for a window, which says where they are found."""

    def __init__(  # noqa: PLR0913, PLR0917 - what it is wired to
        self,
        desk: Desk,
        plan: PlanPanel,
        part: PartPage,
        headline: Headline,
        asks: Asks,
        tell: Callable[[str], object],
        parent: QWidget,
    ) -> None:
        """Make the pages.

        Args:
            desk: whose project.
            plan: where pages are shown.
            part: leads to the comparison of its part.
            headline: leads to the odds.
            asks: how files are asked for.
            tell: says something at the foot of the window.
            parent: the window.
        """
        super().__init__(parent)
        self._desk, self._plan, self._headline = desk, plan, headline
        self._asks, self._tell = asks, tell
        self.book = OddsBook(desk, self)
        self.odds = OddsPage(desk, self.book, self.show_block, self.ask_picture, parent)
        self.compare = ComparePage(desk, part.shapes, asks, tell, parent)
        self.advice = AdvicePage(desk, parent)
        part.compare.clicked.connect(lambda _checked: self.compare_part(part.ident))
        headline.odds.clicked.connect(self.show_odds)
        headline.glance.clicked.connect(self.show_odds)
        self.book.changed.connect(self._show_glance)
        plan.told_time.connect(self.tell_time)
        desk.opened.connect(self._learn)

    def _learn(self) -> None:
        """A deadline that has passed with nobody telling anything tells of the odds as well."""
        session, now = self._desk.session, self._desk.now()
        if session is not None and session.project.deadline < now and session.log.entries:
            session.learn(now)

    def show_odds(self) -> None:
        """Bring the odds to the front."""
        self._plan.show_page(self.odds)

    def show_compare(self) -> None:
        """Bring the comparison to the front."""
        self._plan.show_page(self.compare)

    def show_advice(self) -> None:
        """Bring advice to the front."""
        self._plan.show_page(self.advice)

    def compare_part(self, ident: str) -> None:
        """Compare the ways to make a part."""
        self.show_compare()
        self.compare.compare_part(ident)

    def show_block(self, ident: str) -> None:
        """Show a block on the timeline."""
        self._plan.show_lanes()
        self._plan.timeline.select(ident)

    def tell_time(self) -> None:
        """Move the lines at the present moment."""
        self._show_glance()
        self.odds.tell_time()

    def _show_glance(self) -> None:
        now_s = int(self._desk.now().timestamp())
        self._headline.glance.show_outlooks(self.book.outlooks, now_s)

    def ask_picture(self) -> None:
        """Ask where to save a picture of the odds."""
        session = self._desk.session
        if session is not None:
            name = f"{session.folder.name}-odds.png"
            self._asks.picture_file(self.tr("Save a picture of the odds"), name, self._save)

    def _save(self, path: Path) -> None:
        session = self._desk.session
        if session is None or session.answer is None or session.weekend is None:
            return
        project, answer, weekend = session.project, session.answer, session.weekend
        now_s = int(self._desk.now().timestamp())
        found = self.book.found
        if self._desk.attempt(
            Place.FILES,
            lambda: draw_odds(
                project,
                weekend,
                answer,
                path,
                outlooks=self.book.outlooks,
                found=found,
                now_s=now_s,
            ),
        ):
            self._tell(phrase("picture", path=str(path)))
