"""A font that remembers how wide its words are, since measuring costs more than drawing."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont, QFontMetricsF

ELLIPSIS = "\u2026"
MOST_KEPT = 4096
"""So many shortened texts are remembered; widths change with every step of a zoom."""


class Face:
    """A font with its measures.

    Attributes:
        font: the font.
        line: height of a line in whole pixels.
        ascent: from the top of a line to its base, in pixels.
    """

    def __init__(self, font: QFont) -> None:
        """Measure a font."""
        self.font = font
        self._metrics = QFontMetricsF(font)
        self._widths: dict[str, float] = {}
        self._elided: dict[tuple[str, float], str] = {}
        self.line = round(self._metrics.height())
        self.ascent = self._metrics.ascent()

    def width(self, text: str) -> float:
        """How wide a line of text is, in pixels."""
        known = self._widths.get(text)
        if known is None:
            known = self._widths[text] = self._metrics.horizontalAdvance(text)
        return known

    def fitted(self, text: str, room_px: float, least: int = 3) -> str:
        """The text, or its beginning with an ellipsis; empty where too few letters fit.

        Args:
            text: what.
            room_px: how much width there is.
            least: fewest letters worth showing.
        """
        if self.width(text) <= room_px:
            return text
        if room_px < self.width(ELLIPSIS):
            return ""
        short = self._beginning(text, room_px)
        return short if len(short.rstrip(ELLIPSIS)) >= least else ""

    def _beginning(self, text: str, room_px: float) -> str:
        """The text cut to a width, with an ellipsis."""
        known = self._elided.get((text, room_px))
        if known is None:
            if len(self._elided) >= MOST_KEPT:
                self._elided.clear()
            known = self._metrics.elidedText(text, Qt.TextElideMode.ElideRight, room_px)
            self._elided[text, room_px] = known
        return known

    def broken(self, text: str, room_px: float, most: int) -> tuple[str, ...]:
        """A text broken between words into lines that fit, the last one cut if need be.

        Args:
            text: what.
            room_px: width of a line.
            most: how many lines there may be.

        Returns:
            The lines; none where not even four letters of one fit.
        """
        words, lines = text.split(), list[str]()
        while words and len(lines) < most:
            last = len(lines) + 1 == most
            count = len(words) if last else self._fitting(words, room_px)
            line = self.fitted(" ".join(words[:count]), room_px, least=4)
            if not line:
                return ()
            lines.append(line)
            words = words[count:]
        return tuple(lines)

    def _fitting(self, words: list[str], room_px: float) -> int:
        """How many words fit on a line; at least one."""
        count = 1
        while count < len(words) and self.width(" ".join(words[: count + 1])) <= room_px:
            count += 1
        return count
