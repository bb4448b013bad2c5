"""What stands on the run sheet: headings, things to do, beds and sheets, each knowing its height."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QGuiApplication,
    QPainter,
    QPdfWriter,
    QPen,
)

from fabsched.desktop.bed_picture import draw_sketch, height_for
from fabsched.desktop.prose import bound
from fabsched.desktop.timeline.look import LIGHT, ORANGE, mixed
from fabsched.session.export_records import Card, Row, RunSheet, Sketch
from fabsched.session.wording import phrase

POINT_IN = 1 / 72
"""A point, in inches (the size of letters)."""
MM_IN = 1 / 25.4
TITLE_PT, HEADING_PT, TEXT_PT, SMALL_PT = 18.0, 12.5, 9.5, 7.5
TICK_MM = 4.0
"""Side of a tick box."""
TIMES_MM = 30.0
"""Column of the tick box and the times."""
WHERE_MM = 38.0
"""Column of who and where."""
SKETCH_MM = (78.0, 62.0)
"""Widest and highest sketch."""
WRAP = int(Qt.TextFlag.TextWordWrap)


@dataclass(frozen=True, slots=True, eq=False)
class Item:
    """Something that stands on paper.

    Attributes:
        height: how high it is, the space behind it included.
        draw: draws it with its top at a height.
        leads: whether it stays on one page with what follows.
    """

    height: float
    draw: Callable[[QPainter, float], None]
    leads: bool = False


class Paper:
    """A page of a PDF as it is drawn on: its extent and its fonts, in the units of the writer.

    Attributes:
        width, height: room for everything, the foot included.
        title, heading, bold, text, small: fonts.
    """

    def __init__(self, writer: QPdfWriter) -> None:
        """Take the extent from a writer whose page is set up."""
        self._writer = writer
        self.width, self.height = float(writer.width()), float(writer.height())
        self.title, self.heading = (
            self._font(TITLE_PT, bold=True),
            self._font(HEADING_PT, bold=True),
        )
        self.bold, self.text = self._font(TEXT_PT, bold=True), self._font(TEXT_PT)
        self.small = self._font(SMALL_PT)

    @property
    def foot(self) -> float:
        """Height of the line at the foot, with the space above it."""
        return self.mm(8)

    def mm(self, length: float) -> float:
        """A length in mm in the writer's units."""
        return length * MM_IN * self._writer.resolution()

    def text_height(self, text: str, font: QFont, width: float) -> float:
        """How high a text is, broken at a width."""
        room = QRectF(0, 0, width, 1e7)
        return float(self._metrics(font).boundingRect(room, WRAP, bound(text)).height())

    def write(self, painter: QPainter, text: str, font: QFont, rect: QRectF, ink: str) -> None:
        """Write a text into a rectangle, broken at its width."""
        painter.setFont(font)
        painter.setPen(QColor(ink))
        painter.drawText(rect, WRAP, bound(text))

    def draw_foot(self, painter: QPainter, left: str, right: str) -> None:
        """Write the line at the foot of a page."""
        high = self._metrics(self.small).height()
        rect = QRectF(0, self.height - high, self.width, high)
        painter.setFont(self.small)
        painter.setPen(QColor(LIGHT.faint))
        painter.drawText(rect, Qt.AlignmentFlag.AlignLeft, left)
        painter.drawText(rect, Qt.AlignmentFlag.AlignRight, right)

    def tick_box(self, painter: QPainter, top: float, left: float = 0.0) -> None:
        """Draw a tick box, by default at the left edge."""
        painter.setPen(QPen(QColor(LIGHT.ink), self.mm(0.3)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        side = self.mm(TICK_MM)
        painter.drawRect(QRectF(left + self.mm(0.2), top + self.mm(0.2), side, side))

    def rule(self, painter: QPainter, y: float) -> None:
        """Draw a hairline from side to side."""
        painter.setPen(QPen(QColor(LIGHT.line), self.mm(0.2)))
        painter.drawLine(QPointF(0, y), QPointF(self.width, y))

    def _metrics(self, font: QFont) -> QFontMetricsF:
        return QFontMetricsF(font, self._writer)

    def _font(self, points: float, *, bold: bool = False) -> QFont:
        font = QFont(QGuiApplication.font())
        font.setPixelSize(round(points * POINT_IN * self._writer.resolution()))
        font.setWeight(QFont.Weight.DemiBold if bold else QFont.Weight.Normal)
        return font


def items_of(sheet: RunSheet, paper: Paper) -> list[Item]:
    """Everything on a run sheet, in order."""
    return list(_items(sheet, paper))


def _items(sheet: RunSheet, paper: Paper) -> Iterator[Item]:
    yield _text(paper, sheet.title, paper.title, gap_mm=1.5)
    for text in sheet.lead:
        yield _text(paper, text, paper.text, gap_mm=1.0)
    if sheet.cautions:
        yield _cautions(paper, sheet.cautions)
    for rows in sheet.days:
        yield _heading(paper, rows.title)
        for row in rows.rows:
            yield _row(paper, row)
    if sheet.cards:
        yield _heading(paper, phrase("on-machines"))
    for card in sheet.cards:
        yield _card(paper, card)


def _text(paper: Paper, text: str, font: QFont, *, gap_mm: float) -> Item:
    high = paper.text_height(text, font, paper.width)

    def draw(painter: QPainter, top: float) -> None:
        paper.write(painter, text, font, QRectF(0, top, paper.width, high), LIGHT.ink)

    return Item(high + paper.mm(gap_mm), draw)


def _heading(paper: Paper, text: str) -> Item:
    high, before = paper.text_height(text, paper.heading, paper.width), paper.mm(5)

    def draw(painter: QPainter, top: float) -> None:
        rect = QRectF(0, top + before, paper.width, high)
        paper.write(painter, text, paper.heading, rect, LIGHT.ink)
        paper.rule(painter, top + before + high + paper.mm(0.8))

    return Item(before + high + paper.mm(2.5), draw, leads=True)


def _cautions(paper: Paper, cautions: tuple[str, ...]) -> Item:
    """A framed box that says what to take care of."""
    text, pad = "\n".join(cautions), paper.mm(2.5)
    inner, head = paper.width - 2 * pad, phrase("take-care")
    head_high = paper.text_height(head, paper.bold, inner)
    high = head_high + paper.text_height(text, paper.text, inner) + 2 * pad

    def draw(painter: QPainter, top: float) -> None:
        box = QRectF(0, top + paper.mm(2), paper.width, high)
        painter.fillRect(box, mixed(QColor("#FFFFFF"), QColor(ORANGE), 0.18))
        painter.fillRect(QRectF(0, box.top(), paper.mm(1), high), QColor(ORANGE))
        at = QRectF(pad, box.top() + pad, inner, head_high)
        paper.write(painter, head, paper.bold, at, LIGHT.ink)
        below = QRectF(pad, at.bottom(), inner, high)
        paper.write(painter, text, paper.text, below, LIGHT.ink)

    return Item(high + paper.mm(2), draw)


def _row(paper: Paper, row: Row) -> Item:
    """A thing to do: tick box and times, what and why, who and where."""
    left, side = paper.mm(TIMES_MM), paper.mm(WHERE_MM)
    middle = paper.width - left - side - paper.mm(3)
    notes, where = " ".join(row.notes), f"{row.who}\n{row.place}"
    what_high = paper.text_height(row.what, paper.bold, middle)
    notes_high = paper.text_height(notes, paper.small, middle)
    times = f"{row.start}\n{row.end}"
    tick = paper.mm(TICK_MM + 2.5)
    high = max(
        what_high + notes_high,
        paper.text_height(times, paper.text, left - tick),
        paper.text_height(where, paper.text, side),
    )

    def draw(painter: QPainter, top: float) -> None:
        paper.tick_box(painter, top + paper.mm(0.3))
        at = QRectF(tick, top, left - tick, high)
        paper.write(painter, times, paper.text, at, LIGHT.ink)
        at = QRectF(left, top, middle, high)
        paper.write(painter, row.what, paper.bold, at, LIGHT.ink)
        at = QRectF(left, top + what_high, middle, high)
        paper.write(painter, notes, paper.small, at, LIGHT.faint)
        at = QRectF(paper.width - side, top, side, high)
        paper.write(painter, where, paper.text, at, LIGHT.ink)
        paper.rule(painter, top + high + paper.mm(0.9))

    return Item(high + paper.mm(1.8), draw)


def _card(paper: Paper, card: Card) -> Item:
    """A run: what it looks like at the left, a tick box and what has to be known at the right."""
    box = 0.0 if card.sketch is None else paper.mm(SKETCH_MM[0] + 4)
    left = box + paper.mm(TICK_MM + 2.5)
    inner = paper.width - left
    text = "\n".join(card.lines)
    title_high = paper.text_height(card.title, paper.bold, inner) + paper.mm(1)
    written = title_high + paper.text_height(text, paper.text, inner)
    drawn = _sketch_height(paper, card.sketch)
    high = max(written, drawn)

    def draw(painter: QPainter, top: float) -> None:
        paper.tick_box(painter, top, box)
        if card.sketch is not None:
            rect = QRectF(0, top, paper.mm(SKETCH_MM[0]), drawn)
            draw_sketch(painter, card.sketch, rect, paper.small)
        at = QRectF(left, top, inner, title_high)
        paper.write(painter, card.title, paper.bold, at, LIGHT.ink)
        at = QRectF(left, top + title_high, inner, high)
        paper.write(painter, text, paper.text, at, LIGHT.ink)

    return Item(high + paper.mm(5), draw)


def _sketch_height(paper: Paper, sketch: Sketch | None) -> float:
    if sketch is None:
        return 0.0
    return min(height_for(sketch, paper.mm(SKETCH_MM[0])), paper.mm(SKETCH_MM[1]))
