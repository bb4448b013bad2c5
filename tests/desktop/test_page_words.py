"""The words that lead from page to page: all in sight, by click, key and screen reader."""

from pathlib import Path

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest

from fabsched.desktop.page_words import APART_PX, GAP_PX, arranged
from fabsched.desktop.window import MainWindow
from tests.desktop.hands import click, press

WORD = QSize(80, 20)


@pytest.mark.parametrize("width", range(80, 700, 7))
def test_no_word_is_ever_hidden_or_covered(width: int) -> None:
    """At any width every word lies within it, apart from all others, and in order."""
    places = arranged([[WORD] * 3, [WORD] * 4], width)
    rects = [rect for row in places for rect in row]
    assert [len(row) for row in places] == [3, 4]
    assert all(rect.left() >= 0 and rect.right() < width for rect in rects)
    assert not any(a.intersects(b) for a in rects for b in rects if a is not b)
    order = [(rect.y(), rect.x()) for rect in rects]
    assert order == sorted(order)


def test_what_a_click_shows_a_key_shows_as_soon_as_there_is_a_project(
    window: MainWindow, project: Path
) -> None:
    """Before there is a plan every page has its word and its action; before a project, neither."""
    assert not any(way.isEnabled() for way in window.actions_.pages)
    window.open_folder(project)
    shown = set()
    for way in window.actions_.pages:
        way.trigger()
        shown.add(window.plan.pages.currentIndex())
    assert shown == set(range(len(window.plan.words.words)))


def test_subjects_share_a_row_only_where_all_fits() -> None:
    """One row with a gap between subjects at just enough width; a row for each below that."""
    enough = 4 * (WORD.width() + GAP_PX) + APART_PX
    (one, _), (other, _) = arranged([[WORD] * 2, [WORD] * 2], enough)
    assert one.y() == other.y()
    (one, _), (other, _) = arranged([[WORD] * 2, [WORD] * 2], enough - 1)
    assert one.y() < other.y()
    assert one.x() == other.x() == 0


def test_every_page_is_reached_by_a_click_on_its_word(planned: MainWindow) -> None:
    """In the smallest window all words are there; each shows a page of its own and is marked."""
    planned.resize(planned.minimumSize())
    words, pages = planned.plan.words.words, planned.plan.pages
    seen = set()
    for word in words:
        click(word)
        assert word.isChecked()
        assert sum(each.isChecked() for each in words) == 1
        seen.add(pages.currentIndex())
    assert seen == set(range(pages.count()))


def test_keys_turn_pages(planned: MainWindow) -> None:
    """Tab stops at one word; arrows go on from there; the platform's keys turn pages anywhere."""
    words, pages = planned.plan.words.words, planned.plan.pages
    tabbed = [w for w in words if w.focusPolicy() & Qt.FocusPolicy.TabFocus]
    assert tabbed == [words[0]]
    words[0].setFocus()
    press(words[0], Qt.Key.Key_Right)
    assert words[1].hasFocus()
    assert pages.currentIndex() == 1
    QTest.keySequence(planned, QKeySequence(QKeySequence.StandardKey.NextChild))
    assert pages.currentIndex() == 2
    QTest.keySequence(planned, QKeySequence(QKeySequence.StandardKey.PreviousChild))
    QTest.keySequence(planned, QKeySequence(QKeySequence.StandardKey.PreviousChild))
    QTest.keySequence(planned, QKeySequence(QKeySequence.StandardKey.PreviousChild))
    assert pages.currentIndex() == pages.count() - 1


def test_words_have_names_and_say_what_is_there(planned: MainWindow) -> None:
    """Screen readers get the word without its mark; the tooltip tells what is seen and its key."""
    for word in planned.plan.words.words:
        assert word.accessibleName() == word.text().replace("&", "")
        assert word.toolTip()
