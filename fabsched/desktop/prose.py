"""Labels for text that wraps, in which figures stay with their units."""

import re

from PySide6.QtWidgets import QLabel, QWidget

KEPT = "\u00a0"
"""A space at which no line ends."""
UNIT = re.compile(
    r"(?<=\d) (?=(?:[ckm]?m[²³]?(?:/s)?|k?g|h|min|s|d|N(?:/mm²)?|m?[AVW]|°C|%|[A-Z]{3})(?!\w))"
)
"""A space between a figure and its unit; currencies have three capitals (ISO 4217)."""
SPAN = re.compile(rf"(?<=\d{KEPT}[hd]) (?=\d+{KEPT}(?:h|min)\b)")
"""One between the parts of a length of time."""
OUT_OF = re.compile(r"(?<=\d) (in|von) (?=100\b)")
"""Those in a share, in every language of the window."""
TIMES = re.compile(r"(?<=\d) \u00d7 ")
"""Those around a times sign."""
PRICE = re.compile(r"(?<=\b[A-Z]{3}) (?=\d+[.,]\d\d\b)")
"""One between a currency and the amount behind it."""


def bound(text: str) -> str:
    """A text whose amounts no line end can part.

    >>> bound("81 in 100, 1 h 11 min to spare").replace(KEPT, "_")
    '81_in_100, 1_h_11_min to spare'
    >>> bound("EUR 0.53, 4 \u00d7 9 mm, 2 parts, 12 holes").replace(KEPT, "_")
    'EUR_0.53, 4_\u00d7_9_mm, 2 parts, 12 holes'
    """
    text = SPAN.sub(KEPT, UNIT.sub(KEPT, text))
    text = TIMES.sub(f"{KEPT}\u00d7{KEPT}", PRICE.sub(KEPT, text))
    return OUT_OF.sub(rf"{KEPT}\1{KEPT}", text)


class Prose(QLabel):
    """A label that wraps its text, but never within an amount."""

    def __init__(self, parent: QWidget | None = None, text: str = "") -> None:
        """Make one that says a text."""
        super().__init__(parent)
        self._told = ""
        self.setWordWrap(True)
        self.setText(text)

    def setText(self, text: str) -> None:  # noqa: N802 - Qt's name
        """Say something else."""
        self._told = text
        super().setText(bound(text))

    def text(self) -> str:
        """What it was told to say, with ordinary spaces."""
        return self._told
