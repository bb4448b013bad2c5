"""What was foretold against what happened: the probability plot, and sentences beside it."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFocusEvent, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from fabsched.desktop.copying import let_copy
from fabsched.desktop.focus_frame import draw_focus_frame
from fabsched.desktop.odds.learnt_chapter import LearntChapter
from fabsched.desktop.odds.views import Picture
from fabsched.desktop.prose import Prose
from fabsched.desktop.timeline.face import Face
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import BLUE, GREEN, VERMILLION, Look, look, mixed
from fabsched.desktop.timeline.shapes import qrect
from fabsched.session.judged_records import Judged, Timed, Times
from fabsched.session.judged_words import judged_lines
from fabsched.session.judging import judged
from fabsched.session.project_session import Session
from fabsched.session.wording import phrase

COLOURS = {Timed.PRINT: BLUE, Timed.CUT: VERMILLION, Timed.WORK: GREEN}
"""Colours of the sorts; each has a shape of its own as well."""
SQUARE = 4
CORNERS = {Timed.PRINT: 0, Timed.CUT: SQUARE, Timed.WORK: 3}
"""Corners of their marks; none is a disc."""
MARK_PX = 4.0
"""From the middle of a mark to its edge."""
TICKS = (0.0, 0.1, 0.5, 0.9, 1.0)
"""Shares that have a line: P10, P50 and P90 among them."""
PLOT_PX = 230
"""Least height of the plot."""


def draw_judged(painter: QPainter, looks: Look, rect: Rect, times: Sequence[Times]) -> None:
    """Draw shares seen against shares foretold; right is what lies along the diagonal.

    Args:
        painter: an active painter.
        looks: colours and fonts.
        rect: where.
        times: what is drawn; each sort has its colour and its mark.
    """
    area = square(rect, looks)
    painter.fillRect(qrect(area), QColor(looks.scheme.lane))
    _grid(painter, looks, area)
    for found in times:
        _marks(painter, looks, area, found)
    _key(painter, looks, area, rect, times)


def square(rect: Rect, looks: Look) -> Rect:
    """Where both shares go from 0 to 1: a square at the left, with room for figures and names."""
    left, foot = looks.small.width("100") + 2 * looks.small.line, 2.4 * looks.small.line
    side = max(20.0, min(rect.w - left - 8.0, rect.h - foot - 8.0))
    return Rect(x=rect.x + left, y=rect.y + 6.0, w=side, h=side)


def _at(area: Rect, told: float, seen: float) -> QPointF:
    return QPointF(area.x + area.w * told, area.bottom - area.h * seen)


def _grid(painter: QPainter, looks: Look, area: Rect) -> None:
    """Lines at some shares, the diagonal, and what goes along either side."""
    scheme, small = looks.scheme, looks.small
    painter.setPen(QPen(QColor(scheme.line), 1.0))
    for share in TICKS:
        painter.drawLine(_at(area, share, 0.0), _at(area, share, 1.0))
        painter.drawLine(_at(area, 0.0, share), _at(area, 1.0, share))
    painter.setPen(QPen(QColor(scheme.ink), 1.4, Qt.PenStyle.DashLine))
    painter.drawLine(_at(area, 0.0, 0.0), _at(area, 1.0, 1.0))
    for share in TICKS:
        text = f"{100 * share:.0f}"
        x = area.x + area.w * share - small.width(text) / 2
        _write(painter, small, QPointF(x, area.bottom + 2), text, scheme.faint)
        y = area.bottom - area.h * share - small.line / 2
        _write(painter, small, QPointF(area.x - 5 - small.width(text), y), text, scheme.faint)
    told, seen = phrase("judged-told"), phrase("judged-seen")
    below = QPointF(area.x + (area.w - small.width(told)) / 2, area.bottom + 2 + small.line)
    _write(painter, small, below, told, scheme.ink)
    painter.save()
    painter.translate(area.x - small.width("100") - 8, area.y + (area.h + small.width(seen)) / 2)
    painter.rotate(-90)
    _write(painter, small, QPointF(0, -small.line), seen, scheme.ink)
    painter.restore()


def _write(painter: QPainter, face: Face, top: QPointF, text: str, colour: str) -> None:
    painter.setFont(face.font)
    painter.setPen(QColor(colour))
    painter.drawText(QPointF(top.x(), top.y() + face.ascent), text)


def _marks(painter: QPainter, looks: Look, area: Rect, found: Times) -> None:
    _set_colour(painter, looks, found.sort)
    for told, seen in found.points:
        _mark(painter, _at(area, told, seen), CORNERS[found.sort])


def _set_colour(painter: QPainter, looks: Look, sort: Timed) -> None:
    colour = mixed(QColor(COLOURS[sort]), QColor("#FFFFFF"), looks.scheme.lift)
    painter.setPen(QPen(QColor(looks.scheme.lane), 0.8))
    painter.setBrush(colour)


def _mark(painter: QPainter, at: QPointF, corners: int) -> None:
    size = MARK_PX
    if not corners:
        painter.drawEllipse(at, size, size)
    elif corners == SQUARE:
        painter.drawRect(qrect(Rect(x=at.x() - size, y=at.y() - size, w=2 * size, h=2 * size)))
    else:
        steps = ((0.0, -size), (size, size), (-size, size))
        painter.drawPolygon(QPolygonF([at + QPointF(x, y) for x, y in steps]))


def _key(painter: QPainter, looks: Look, area: Rect, rect: Rect, times: Sequence[Times]) -> None:
    """What the marks stand for, right of the square, where there is room."""
    x, y = area.right + 18.0, area.y + looks.small.line
    for found in times:
        text = f"{phrase(f'judged-key-{found.sort}')} ({found.count})"
        if x + 14 + looks.small.width(text) > rect.right:
            return
        _set_colour(painter, looks, found.sort)
        _mark(painter, QPointF(x, y), CORNERS[found.sort])
        top = QPointF(x + 12, y - looks.small.line / 2)
        _write(painter, looks.small, top, text, looks.scheme.ink)
        y += 1.5 * looks.small.line


class JudgedView(Picture):
    """The probability plot; its points can be copied, and its sentences are read to who cannot see it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__("", parent)
        self.setAccessibleName(phrase("judged-plot"))
        self.setMinimumSize(260, PLOT_PX)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._times: tuple[Times, ...] = ()
        let_copy(self, self.table, heads=1)

    def show_times(self, times: tuple[Times, ...], told: str) -> None:
        """Show other times.

        Args:
            times: what is drawn.
            told: the same in sentences.
        """
        self._times = times
        self.setAccessibleDescription(told)
        self.setToolTip(phrase("judged-plot"))
        self.update()

    def table(self) -> list[tuple[str, ...]]:
        """Its points, as rows for the clipboard."""
        head = ("", phrase("judged-told"), phrase("judged-seen"))
        rows = [
            (phrase(f"judged-key-{found.sort}"), f"{told:.3f}", f"{seen:.3f}")
            for found in self._times
            for told, seen in found.points
        ]
        return [head, *rows]

    def draw(self, painter: QPainter, rect: Rect) -> None:
        """Draw it, with a frame while it has the focus."""
        draw_judged(painter, look(self.palette(), self.font()), rect, self._times)
        draw_focus_frame(painter, self)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show that it has the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show that it has lost it."""
        super().focusOutEvent(event)
        self.update()


class JudgedChapter(QWidget):
    """How right what was foretold has been, and what the log has taught; for all projects of a user."""

    def __init__(self, weigh: Callable[[str, bool], object], parent: QWidget | None = None) -> None:
        """Make an empty one.

        Args:
            weigh: as for `LearntChapter`.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.title, self.told = _heading(phrase("judged-title"), self), _sentences(self)
        self.learnt_title, self.learnt = _heading(phrase("learnt-title"), self), _sentences(self)
        self.lessons = LearntChapter(self.learnt_title, self.learnt, weigh, self)
        self.view, self.reading = JudgedView(self), Prose(self, phrase("judged-reading"))
        self.reading.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(3)
        for widget in (self.title, self.told, self.view, self.reading, self.lessons):
            column.addWidget(widget)
        self.told.setAccessibleName(self.title.text())
        self.learnt.setAccessibleName(self.learnt_title.text())

    def follow(self, session: Session | None) -> None:
        """Show what the user of a project has learnt; without one there is nothing to show."""
        self.setVisible(session is not None)
        if session is None:
            return
        seen = session.experiences.seen
        found: Judged = judged(seen)
        told = "\n".join(judged_lines(found))
        self.told.setText(told)
        self.lessons.follow(session)
        self.view.show_times(found.times, told)
        for widget in (self.view, self.reading):
            widget.setVisible(bool(found.times))


def _heading(text: str, parent: QWidget) -> QLabel:
    label = QLabel(text, parent)
    font = label.font()
    font.setWeight(font.Weight.DemiBold)
    label.setFont(font)
    return label


def _sentences(parent: QWidget) -> QLabel:
    """Sentences that can be reached with Tab, and copied by pointer and keys."""
    label = Prose(parent)
    label.setTextFormat(Qt.TextFormat.PlainText)
    by = Qt.TextInteractionFlag
    label.setTextInteractionFlags(by.TextSelectableByMouse | by.TextSelectableByKeyboard)
    label.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    return label
