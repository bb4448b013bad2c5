"""Colours and fonts of the timeline, in a light and a dark scheme.

Colours that mean something are those of Okabe & Ito ("Color Universal Design", 2002/2008), which
people with any common colour blindness can tell apart. None of them carries a meaning alone: each
kind of block also has its own outline and foot.
"""

from dataclasses import dataclass

from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPalette

from fabsched.desktop.timeline.face import Face
from fabsched.desktop.timeline.geometry import Sizes
from fabsched.model.plan import Block, Kind

BLUE, VERMILLION, GREEN = "#0072B2", "#D55E00", "#009E73"
ORANGE, PURPLE, SKY = "#E69F00", "#CC79A7", "#56B4E9"
"""Okabe & Ito's names and values."""

SMALL = 0.86
"""Size of small text against ordinary text."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scheme:
    """Colours by role, as names Qt reads.

    Attributes:
        ground: behind everything.
        lane: behind a lane.
        shut: closed hours.
        line: hairlines.
        ink: text and marks.
        faint: text of second rank; at least 4.5:1 against `ground` (WCAG 2.2, 1.4.3).
        tint: how much of a pure colour the plate of a block takes, 0 to 1.
        lift: how much of white pure colours take, so that they stand out from a dark ground.
        travel: blocks that are ways.
    """

    ground: str
    lane: str
    shut: str
    line: str
    ink: str
    faint: str
    tint: float
    lift: float
    travel: str


LIGHT = Scheme(
    ground="#F6F4EF",
    lane="#FFFFFF",
    shut="#E4E0D6",
    line="#CFCABD",
    ink="#1F2328",
    faint="#5C6168",
    tint=0.24,
    lift=0.0,
    travel="#6F747B",
)
DARK = Scheme(
    ground="#15171B",
    lane="#2C3138",
    shut="#1F2327",
    line="#4A515B",
    ink="#F0EDE6",
    faint="#A9ADB4",
    tint=0.40,
    lift=0.22,
    travel="#9A9FA7",
)


class Look:
    """A scheme with the fonts that go with it.

    Attributes:
        scheme: colours.
        font: ordinary text.
        bold: names and days.
        small: times and notes.
        bold_small: headings among these.
    """

    def __init__(self, scheme: Scheme, font: QFont) -> None:
        """Derive the other fonts from one whose height is given in pixels."""
        bold, small = QFont(font), QFont(font)
        bold.setWeight(QFont.Weight.DemiBold)
        small.setPixelSize(max(9, round(pixel_size(font) * SMALL)))
        self.scheme = scheme
        self.font, self.bold, self.small = Face(font), Face(bold), Face(small)
        self.bold_small = Face(sized(bold, small.pixelSize()))
        self.brick = mixed(QColor(scheme.ground), QColor(scheme.ink), 0.45)
        self._paints: dict[tuple[Kind, bool], tuple[QColor, QColor]] = {}

    def sizes(self, names: tuple[str, ...] = (), notes: tuple[str, ...] = ()) -> Sizes:
        """Extents that fit the fonts and, within reason, the longest of some names and notes."""
        line = self.bold.line
        pad = round(line * 0.38)
        widths = (*map(self.bold.width, names), *map(self.small.width, notes))
        gutter = min(max((*widths, 6.0 * line)), 11.0 * line) + 3 * pad
        return Sizes(line=line, small=self.small.line, pad=pad, gutter=round(gutter) + 2)

    def pure(self, block: Block) -> QColor:
        """The strong colour of a block."""
        return self._paint(block)[0]

    def plate(self, block: Block) -> QColor:
        """The soft colour behind a block's label."""
        return self._paint(block)[1]

    def _paint(self, block: Block) -> tuple[QColor, QColor]:
        """Both colours, mixed once for each kind of block."""
        kind = (block.kind, block.attended)
        if kind not in self._paints:
            pure = mixed(QColor(_pure(block, self.scheme)), QColor("#FFFFFF"), self.scheme.lift)
            plate = mixed(QColor(self.scheme.lane), pure, self.scheme.tint)
            self._paints[kind] = pure, plate
        return self._paints[kind]


def look(palette: QPalette, font: QFont) -> Look:
    """The look that suits a palette: dark where its windows are."""
    dark = palette.color(QPalette.ColorRole.Window).lightness() < 128
    return Look(DARK if dark else LIGHT, sized(font, pixel_size(font)))


def pixel_size(font: QFont) -> int:
    """Height of a font in pixels, however it was given."""
    return font.pixelSize() if font.pixelSize() > 0 else round(QFontMetricsF(font).height() * 0.83)


def sized(font: QFont, px: int) -> QFont:
    """The same font at another size."""
    other = QFont(font)
    other.setPixelSize(px)
    return other


def mixed(ground: QColor, over: QColor, share: float) -> QColor:
    """Opaque colour of `over` laid on `ground` with that opacity."""
    parts = (
        (ground.red(), over.red()),
        (ground.green(), over.green()),
        (ground.blue(), over.blue()),
    )
    red, green, blue = (round(a + (b - a) * share) for a, b in parts)
    return QColor(red, green, blue)


def faded(colour: str | QColor, share: float) -> QColor:
    """A colour with that opacity."""
    clear = QColor(colour)
    clear.setAlphaF(share)
    return clear


def _pure(block: Block, scheme: Scheme) -> str:
    match block.kind:
        case Kind.RUN:
            return VERMILLION if block.attended else BLUE
        case Kind.TEND:
            return PURPLE
        case Kind.WORK:
            return GREEN
        case Kind.GATE:
            return ORANGE
        case Kind.TRAVEL:
            return scheme.travel
