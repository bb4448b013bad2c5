"""Text that wraps: amounts stay in one piece."""

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QFontMetrics
from pytestqt.qtbot import QtBot

from fabsched.desktop.prose import KEPT, Prose, bound

WRAPS = int(Qt.TextFlag.TextWordWrap)


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("81 in 100 times", ["81 in 100", "times"]),
        ("mehr als 99 von 100", ["mehr", "als", "99 von 100"]),
        ("1 h 11 min to spare", ["1 h 11 min", "to", "spare"]),
        ("2 d 3 h", ["2 d 3 h"]),
        ("EUR 0.53 and 0,53 EUR", ["EUR 0.53", "and", "0,53 EUR"]),
        ("600 \u00d7 300 mm", ["600 \u00d7 300 mm"]),
        ("12 cm\u00b3, 3.5 g, 40 mm/s, 78 %", ["12 cm\u00b3,", "3.5 g,", "40 mm/s,", "78 %"]),
        ("from 3.3 V, 20 mA", ["from", "3.3 V,", "20 mA"]),
        ("2 parts, 3 steps", ["2", "parts,", "3", "steps"]),
    ],
)
def test_amounts_stay_in_one_piece(text: str, pieces: list[str]) -> None:
    """Lines may end between words, never between a figure and what belongs to it."""
    assert bound(text).split(" ") == [piece.replace(" ", KEPT) for piece in pieces]


def test_a_label_wraps_around_an_amount(qtbot: QtBot) -> None:
    """Where an amount does not fit any more the whole of it goes into the next line."""
    label = Prose(None, "spare 1 h 11 min")
    qtbot.addWidget(label)
    metrics = QFontMetrics(label.font())
    room = QRect(0, 0, metrics.horizontalAdvance("spare 1 h 1"), 999)
    parted = metrics.boundingRect(room, WRAPS, label.text())
    kept = metrics.boundingRect(room, WRAPS, bound(label.text()))
    assert kept.width() > parted.width()
    assert label.text() == "spare 1 h 11 min"
