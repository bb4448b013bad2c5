"""The odds as a picture: what the page shows, on a sheet of its own, without a window.

PNG or SVG by the file's ending. Where there is no screen, Qt draws without one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from zoneinfo import ZoneInfo

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QGuiApplication, QImage, QPainter
from PySide6.QtSvg import QSvgGenerator

from fabsched.desktop.clock import date_text
from fabsched.desktop.odds.costs import draw_cost
from fabsched.desktop.odds.needed import draw_needed
from fabsched.desktop.odds.spread import draw_spread
from fabsched.desktop.odds.words import names_in, setback_text, worth_telling
from fabsched.desktop.offscreen import application, png_bytes
from fabsched.desktop.timeline.geometry import Rect
from fabsched.desktop.timeline.look import DARK, LIGHT, Look, sized
from fabsched.desktop.words import odds_text
from fabsched.files.atomic import write_bytes_atomic
from fabsched.model.errors import Fault, InputError
from fabsched.model.plan import Answer, Odds
from fabsched.model.project import Project
from fabsched.model.weekend import Weekend
from fabsched.odds.told import Outlook, Setback
from fabsched.session.foresight_request import BearingResponse
from fabsched.session.odds_words import range_text
from fabsched.session.wording import phrase

WIDE_PX, MARGIN_PX, GAP_PX = 1100.0, 36.0, 18.0
"""Width of the picture, white around everything, and between its parts."""
SPREAD_PX, NEEDED_PX = 250.0, 320.0
"""Heights of the two plots."""
ENDINGS = (".png", ".svg")
"""What is drawn, by the ending of the file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """What is drawn."""

    project: Project
    weekend: Weekend
    odds: Odds
    outlooks: Sequence[Outlook]
    setbacks: Sequence[Setback]
    now_s: int
    look: Look

    @property
    def zone(self) -> ZoneInfo:
        """Zone of all times."""
        return ZoneInfo(self.weekend.zone)


def draw_odds(  # noqa: PLR0913 - the options of a picture
    project: Project,
    weekend: Weekend,
    answer: Answer,
    path: Path,
    *,
    outlooks: Sequence[Outlook] = (),
    found: BearingResponse | None = None,
    now_s: int,
    dark: bool = False,
    zoom: float = 1.0,
) -> None:
    """Draw the odds into a file, which is written whole or not at all.

    Args:
        project: the project.
        weekend: what was planned.
        answer: its plan.
        path: the file; `.png` or `.svg`.
        outlooks: time needed against time left; none leaves that plot out.
        found: what bears on the odds; None leaves setbacks out.
        now_s: the present moment.
        dark: light marks on a dark ground.
        zoom: pixels of a PNG for each of these; 2 suits dense screens and paper.

    Raises:
        InputError: the ending is another one, or the file cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        known = ", ".join(ENDINGS)
        raise InputError(Fault.FILE_KIND_UNKNOWN, str(path), ending=ending, known=known)
    with application():
        told = _Told(
            project=project,
            weekend=weekend,
            odds=found.told.odds if found else answer.odds,
            outlooks=outlooks,
            setbacks=worth_telling(found.told.setbacks) if found else (),
            now_s=now_s,
            look=Look(DARK if dark else LIGHT, sized(QGuiApplication.font(), 14)),
        )
        data = _png(told, zoom) if ending == ".png" else _svg(told)
    write_bytes_atomic(path, data)


def _png(told: _Told, zoom: float) -> bytes:
    high = _draw(None, told)
    image = QImage(QSize(ceil(WIDE_PX * zoom), ceil(high * zoom)), QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(zoom)
    painter = QPainter(image)
    _draw(painter, told, high)
    painter.end()
    return png_bytes(image)


def _svg(told: _Told) -> bytes:
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    high = _draw(None, told)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setSize(QSize(round(WIDE_PX), ceil(high)))
    generator.setViewBox(QRectF(0, 0, WIDE_PX, ceil(high)))
    generator.setTitle(told.project.name)
    painter = QPainter(generator)
    _draw(painter, told, high)
    painter.end()
    return bytes(data.data())


def _draw(painter: QPainter | None, told: _Told, high: float = 0.0) -> float:
    """Draw everything, or only find out how high it is.

    Returns:
        The height in pixels.
    """
    look, y = told.look, MARGIN_PX
    if painter is not None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(QRectF(0, 0, WIDE_PX, ceil(high)), QColor(look.scheme.ground))
    for text, font, colour in _head(told):
        y += _paragraph(painter, y, text, font, colour) + 6
    y = _plots(painter, told, y + GAP_PX)
    y = _setbacks(painter, told, y)
    foot = phrase("as-of", moment=date_text(told.now_s, told.zone), zone=told.zone.key)
    y += _paragraph(painter, y, foot, look.small.font, look.scheme.faint)
    return y + MARGIN_PX


def _head(told: _Told) -> tuple[tuple[str, QFont, str], ...]:
    scheme = told.look.scheme
    odds = odds_text(told.odds, told.weekend.deadline_s, told.zone)
    return (
        (told.project.name, sized(told.look.bold.font, 28), scheme.ink),
        (odds, sized(told.look.font.font, 18), scheme.ink),
        (range_text(told.odds), told.look.font.font, scheme.faint),
    )


def _paragraph(painter: QPainter | None, y: float, text: str, font: QFont, colour: str) -> float:
    """Write a paragraph; returns its height."""
    room = QRectF(MARGIN_PX, y, WIDE_PX - 2 * MARGIN_PX, 1e4)
    flag = int(Qt.TextFlag.TextWordWrap)
    high = QFontMetricsF(font).boundingRect(room, flag, text).height() if text else 0.0
    if painter is not None and text:
        painter.setFont(font)
        painter.setPen(QColor(colour))
        painter.drawText(QRectF(MARGIN_PX, y, room.width(), high), flag, text)
    return high


def _plots(painter: QPainter | None, told: _Told, y: float) -> float:
    """Both plots; returns where the next thing goes."""
    wide = WIDE_PX - 2 * MARGIN_PX
    rect = Rect(x=MARGIN_PX, y=y, w=wide, h=SPREAD_PX)
    if painter is not None:
        draw_spread(painter, told.look, rect, told.odds, told.weekend.deadline_s, told.zone)
    y = rect.bottom + GAP_PX
    if len(told.outlooks) > 1:
        rect = Rect(x=MARGIN_PX, y=y, w=wide, h=NEEDED_PX)
        if painter is not None:
            draw_needed(painter, told.look, rect, told.outlooks, told.now_s, told.zone)
        y = rect.bottom + GAP_PX
    return y


def _setbacks(painter: QPainter | None, told: _Told, y: float) -> float:
    """Setbacks as bars; returns where the next thing goes."""
    if not told.setbacks:
        return y
    look, names = told.look, names_in(told.project, told.weekend)
    y += _paragraph(painter, y, phrase("setbacks-title"), look.bold.font, look.scheme.ink) + 6
    row, middle = look.font.line * 1.5, WIDE_PX * 0.6
    most = max(each.cost for each in told.setbacks)
    for each in told.setbacks:
        if painter is not None:
            text = look.font.fitted(setback_text(each, names), middle - MARGIN_PX - 12)
            painter.setFont(look.font.font)
            painter.setPen(QColor(look.scheme.ink))
            painter.drawText(QPointF(MARGIN_PX, y + look.font.ascent), text)
            bar = Rect(x=middle, y=y, w=WIDE_PX - MARGIN_PX - middle, h=look.font.line)
            draw_cost(painter, look, bar, each.cost, most)
        y += row
    return y + GAP_PX
