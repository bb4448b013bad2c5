"""The words one goes from page to page by: two rows by subject, all in sight at any width."""

from collections.abc import Sequence

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtGui import QAction, QKeySequence, QPainter, QPaintEvent, QShortcut
from PySide6.QtWidgets import (
    QButtonGroup,
    QLayout,
    QLayoutItem,
    QSizePolicy,
    QStackedWidget,
    QToolButton,
    QWidget,
)

from fabsched.desktop.focus_frame import draw_focus_frame

SIDE_PX, ABOVE_PX = 9, 3
"""Air beside and above a word."""
BAR_PX = 3
"""Width of the bar at the word of the page that is shown; lanes begin with one like it."""
GAP_PX, APART_PX = 2, 18
"""Between two words, and between two subjects that share a row."""


class PageWord(QToolButton):
    """The word of one page; its `&` names the key that leads there with Alt."""

    def __init__(self, title: str, parent: QWidget) -> None:
        """Show a title."""
        super().__init__(parent)
        self.setText(title)
        self.setAccessibleName(title.replace("&", ""))
        self.setCheckable(True)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Room for the word, bar and air."""
        metrics = self.fontMetrics()
        wide = metrics.size(Qt.TextFlag.TextShowMnemonic, self.text()).width()
        return QSize(wide + 2 * SIDE_PX, metrics.height() + 2 * ABOVE_PX)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Words are not cut."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the word; that of the page shown on a light ground with a bar."""
        painter, palette = QPainter(self), self.palette()
        if self.isChecked() or self.underMouse():
            painter.fillRect(self.rect(), palette.base())
        if self.isChecked():
            painter.fillRect(QRect(0, 0, BAR_PX, self.height()), palette.highlight())
        role = palette.ColorRole.ButtonText
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextShowMnemonic
        self.style().drawItemText(
            painter, self.rect(), flags, palette, self.isEnabled(), self.text(), role
        )
        draw_focus_frame(painter, self)
        painter.end()


def arranged(subjects: Sequence[Sequence[QSize]], width: int) -> list[list[QRect]]:
    """Where the words of each subject stand.

    Subjects share one row where all of them fit; else each begins a row, and goes on in another if it
    must.

    Args:
        subjects: sizes of their words.
        width: room there is.
    """
    together = sum(sum(size.width() + GAP_PX for size in sizes) for sizes in subjects)
    one_row = together + APART_PX * (len(subjects) - 1) <= width
    places, pen = [], QPoint(0, 0)
    for sizes in subjects:
        rects: list[QRect] = []
        for size in sizes:
            if pen.x() and pen.x() + size.width() > width:
                pen = QPoint(0, pen.y() + size.height() + GAP_PX)
            rects.append(QRect(pen, size))
            pen += QPoint(size.width() + GAP_PX, 0)
        places.append(rects)
        high = max((size.height() for size in sizes), default=0)
        pen = pen + QPoint(APART_PX, 0) if one_row else QPoint(0, pen.y() + high + GAP_PX)
    return places


class SubjectRows(QLayout):
    """Lays words out by subject."""

    def __init__(self, parent: QWidget) -> None:
        """Make it empty."""
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self._subjects: list[list[QLayoutItem]] = []
        self.setContentsMargins(0, 0, 0, 0)

    def put(self, word: QWidget, subject: int) -> None:
        """Add a word to a subject."""
        self.addWidget(word)
        while len(self._subjects) <= subject:
            self._subjects.append([])
        self._subjects[subject].append(self._items[-1])

    def addItem(self, item: QLayoutItem) -> None:  # noqa: N802 - Qt's name
        """Take an item."""
        self._items.append(item)

    def count(self) -> int:
        """How many there are."""
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:  # noqa: N802 - Qt's name
        """One of them; none beyond the last."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:  # noqa: N802 - Qt's name
        """Let one of them go."""
        if not 0 <= index < len(self._items):
            return None
        item = self._items.pop(index)
        self._subjects = [[each for each in row if each is not item] for row in self._subjects]
        return item

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """It is as high as its rows."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802 - Qt's name
        """Height of the rows at that width."""
        rects = [rect for row in self._places(width) for rect in row]
        return max((rect.bottom() + 1 for rect in rects), default=0)

    def minimumSize(self) -> QSize:  # noqa: N802 - Qt's name
        """The widest word must fit."""
        sizes = [item.sizeHint() for item in self._items]
        return QSize(
            max((size.width() for size in sizes), default=0),
            max((size.height() for size in sizes), default=0),
        )

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """The longest subject in a row."""
        wide = [sum(item.sizeHint().width() + GAP_PX for item in row) for row in self._subjects]
        longest = max(wide, default=0)
        return QSize(longest, self.heightForWidth(longest))

    def setGeometry(self, rect: QRect) -> None:  # noqa: N802 - Qt's name
        """Put the words where they belong."""
        super().setGeometry(rect)
        for row, places in zip(self._subjects, self._places(rect.width()), strict=True):
            for item, place in zip(row, places, strict=True):
                item.setGeometry(place.translated(rect.topLeft()))

    def _places(self, width: int) -> list[list[QRect]]:
        return arranged([[item.sizeHint() for item in row] for row in self._subjects], width)


class PageWords(QWidget):
    """One word for each page of a stack."""

    def __init__(self, pages: QStackedWidget, parent: QWidget) -> None:
        """Follow a stack of pages."""
        super().__init__(parent)
        self._pages = pages
        self.words: list[PageWord] = []
        self._rows = SubjectRows(self)
        self._group = QButtonGroup(self)
        self._group.idClicked.connect(pages.setCurrentIndex)
        pages.currentChanged.connect(self._mark)
        standard = QKeySequence.StandardKey
        for key, step in ((standard.NextChild, 1), (standard.PreviousChild, -1)):
            turn = QShortcut(QKeySequence(key), self)
            turn.activated.connect(lambda step=step: self._turn(step))

    def add(self, page: QWidget, way: QAction, subject: int) -> None:
        """Add a page behind those there are.

        Args:
            page: it.
            way: the action that shows it; its text is the word.
            subject: number of the row its word stands in.
        """
        word = PageWord(way.text(), self)
        word.setToolTip(way.toolTip())
        self.words.append(word)
        self._group.addButton(word, self._pages.count())
        self._rows.put(word, subject)
        self._pages.addWidget(page)
        self._mark(self._pages.currentIndex())

    def title(self, index: int) -> str:
        """The word of a page, with its key."""
        return self.words[index].text()

    def _mark(self, index: int) -> None:
        for place, word in enumerate(self.words):
            word.setChecked(place == index)
            stops = Qt.FocusPolicy.StrongFocus if place == index else Qt.FocusPolicy.ClickFocus
            word.setFocusPolicy(stops)

    def _turn(self, step: int) -> None:
        self._pages.setCurrentIndex((self._pages.currentIndex() + step) % self._pages.count())
