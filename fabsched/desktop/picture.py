"""A plan as a picture: the window's timeline on a sheet of its own, without a window.

PNG or SVG by the file's ending. Where there is no screen, Qt draws without one.
"""

from dataclasses import dataclass, replace
from math import ceil
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QGuiApplication,
    QImage,
    QPainter,
)
from PySide6.QtSvg import QSvgGenerator

from fabsched.desktop.clock import date_text
from fabsched.desktop.offscreen import application, png_bytes
from fabsched.desktop.timeline.canvas import Canvas, scene_sizes
from fabsched.desktop.timeline.geometry import Frame, Rect, Scale
from fabsched.desktop.timeline.key import Key, draw_key, key_of
from fabsched.desktop.timeline.legend import draw_legend, legend_px
from fabsched.desktop.timeline.look import DARK, LIGHT, Look, sized
from fabsched.desktop.timeline.paint import paint
from fabsched.desktop.timeline.past import past_of
from fabsched.desktop.timeline.scene import Scene, scene
from fabsched.desktop.words import outlook_text, spare_text
from fabsched.files.atomic import write_bytes_atomic
from fabsched.model.errors import Fault, InputError
from fabsched.model.plan import Answer
from fabsched.model.state import State
from fabsched.model.weekend import Weekend
from fabsched.session.wording import phrase

MARGIN_PX = 36.0
"""White around everything."""

TITLE_PX, SENTENCE_PX, TEXT_PX = 28, 18, 14
"""Heights of the fonts, title first."""

LANE_EXTRA_PX = 60.0
"""Lanes are so much higher than they need be, so that narrow blocks have labels too."""

LEAST_WIDTH_PX = 640
"""A narrower picture could not hold the names and a weekend beside them."""

BEFORE = State()
"""Nothing has happened."""

ENDINGS = (".png", ".svg")
"""What is drawn, by the ending of the file."""


def draw_plan(  # noqa: PLR0913 - the options of a picture
    weekend: Weekend,
    answer: Answer,
    path: Path,
    *,
    title: str,
    now_s: int,
    state: State = BEFORE,
    dark: bool = False,
    size: tuple[int, int | None] = (1600, None),
    zoom: float = 1.0,
) -> None:
    """Draw a plan into a file, which is written whole or not at all.

    Args:
        weekend: what was planned.
        answer: its plan.
        path: the file; `.png` or `.svg`.
        title: what stands at the top.
        now_s: the present moment.
        state: what has happened; it is drawn as what lies behind.
        dark: light marks on a dark ground.
        size: width and height in pixels; without a height, as high as it needs. It is never
            smaller than it needs.
        zoom: pixels of a PNG for each of these; 2 suits dense screens and paper.

    Raises:
        InputError: the ending is another one, or the file cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        known = ", ".join(ENDINGS)
        raise InputError(Fault.FILE_KIND_UNKNOWN, str(path), ending=ending, known=known)
    with application():
        shown = scene(weekend, answer, past_of(state, weekend))
        look = Look(DARK if dark else LIGHT, sized(QGuiApplication.font(), TEXT_PX))
        head = _head(weekend, answer, title, look)
        sheet = _sheet(shown, look, head, now_s=now_s, width_px=size[0])
        whole = QSize(round(sheet.width_px), max(round(sheet.height_px), size[1] or 0))
        data = _png(sheet, whole, zoom) if ending == ".png" else _svg(sheet, whole, title)
    write_bytes_atomic(path, data)


_Text = tuple[str, QFont, str]
"""A paragraph: text, font and colour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """A paragraph at the top or bottom: text, font, colour, and where it lies."""

    text: str
    font: QFont
    colour: str
    rect: QRectF


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """A picture laid out."""

    scene: Scene
    look: Look
    frame: Frame
    lines: tuple[_Line, ...]
    top_px: float
    legend: Rect
    key: Key
    width_px: float
    height_px: float
    now_s: int


def _sheet(
    shown: Scene, look: Look, texts: tuple[_Text, ...], *, now_s: int, width_px: int
) -> _Sheet:
    """Lay a scene out under a head, with its legend and the list of its steps below."""
    inner_px = max(width_px, LEAST_WIDTH_PX) - 2 * MARGIN_PX
    head = _stacked(texts, MARGIN_PX, inner_px)
    top_px = head[-1].rect.bottom() + MARGIN_PX / 2
    sizes = replace(scene_sizes(shown, look), extra=LANE_EXTRA_PX)
    frame = Frame(sizes=sizes, lanes=len(shown.lanes), width_px=inner_px)
    legend_top = top_px + frame.height_px + MARGIN_PX / 2
    legend = Rect(x=MARGIN_PX, y=legend_top, w=inner_px, h=legend_px(look, inner_px))
    key = key_of(shown, look, inner_px)
    foot_top = legend.bottom + key.height_px + MARGIN_PX
    foot = _stacked(_foot(shown, now_s, look), foot_top, inner_px)
    return _Sheet(
        scene=shown,
        look=look,
        frame=frame,
        lines=(*head, *foot),
        top_px=top_px,
        legend=legend,
        key=key,
        width_px=inner_px + 2 * MARGIN_PX,
        height_px=foot[-1].rect.bottom() + MARGIN_PX,
        now_s=now_s,
    )


def _head(weekend: Weekend, answer: Answer, title: str, look: Look) -> tuple[_Text, ...]:
    ink, faint = look.scheme.ink, look.scheme.faint
    odds = outlook_text(answer, weekend)
    return (
        (title, sized(look.bold.font, TITLE_PX), ink),
        (odds, sized(look.font.font, SENTENCE_PX), ink),
        (spare_text(answer, weekend), look.font.font, faint),
    )


def _foot(shown: Scene, now_s: int, look: Look) -> tuple[_Text, ...]:
    text = phrase("as-of", moment=date_text(now_s, shown.zone), zone=shown.zone.key)
    return ((text, look.small.font, look.scheme.faint),)


def _stacked(texts: tuple[_Text, ...], top_px: float, width_px: float) -> tuple[_Line, ...]:
    """Paragraphs under one another, broken where they are too long."""
    lines = []
    for text, font, colour in texts:
        metrics = QFontMetricsF(font)
        room = QRectF(MARGIN_PX, top_px, width_px, 1e4)
        high = metrics.boundingRect(room, Qt.TextFlag.TextWordWrap, text).height()
        rect = QRectF(MARGIN_PX, top_px, width_px, high)
        lines.append(_Line(text=text, font=font, colour=colour, rect=rect))
        top_px += high + metrics.height() * 0.35
    return tuple(lines)


def _png(sheet: _Sheet, whole: QSize, zoom: float) -> bytes:
    pixels = QSize(ceil(whole.width() * zoom), ceil(whole.height() * zoom))
    image = QImage(pixels, QImage.Format.Format_RGB32)
    image.fill(QColor(sheet.look.scheme.ground))
    image.setDevicePixelRatio(zoom)
    painter = QPainter(image)
    _draw(painter, sheet, whole)
    painter.end()
    return png_bytes(image)


def _svg(sheet: _Sheet, whole: QSize, title: str) -> bytes:
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setSize(whole)
    generator.setViewBox(QRectF(0, 0, whole.width(), whole.height()))
    generator.setTitle(title)
    generator.setDescription(sheet.lines[1].text)
    painter = QPainter(generator)
    _draw(painter, sheet, whole)
    painter.end()
    return bytes(data.data())


def _draw(painter: QPainter, sheet: _Sheet, whole: QSize) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    ground = QColor(sheet.look.scheme.ground)
    painter.fillRect(QRectF(0, 0, whole.width(), whole.height()), ground)
    for line in sheet.lines:
        painter.setFont(line.font)
        painter.setPen(QColor(line.colour))
        painter.drawText(line.rect, int(Qt.TextFlag.TextWordWrap), line.text)
    painter.save()
    painter.translate(MARGIN_PX, sheet.top_px)
    paint(_canvas(painter, sheet))
    painter.restore()
    draw_legend(painter, sheet.look, sheet.legend)
    draw_key(painter, sheet.look, sheet.key, MARGIN_PX, sheet.legend.bottom + MARGIN_PX / 2)


def _canvas(painter: QPainter, sheet: _Sheet) -> Canvas:
    gutter = sheet.frame.sizes.gutter
    first_s, last_s = sheet.scene.shown_s
    return Canvas(
        painter=painter,
        scene=sheet.scene,
        frame=sheet.frame,
        scale=Scale(
            start_s=first_s,
            left_px=gutter,
            width_px=sheet.frame.width_px - gutter,
            span_s=last_s - first_s,
        ),
        look=sheet.look,
        height_px=sheet.frame.height_px,
        now_s=sheet.now_s,
    )
