"""German as the proof that everything the program says can be said in another language."""

import os
import re
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QApplication, QLabel, QMenu, QPushButton, QWidget

from fabsched.desktop import settings, translating
from fabsched.desktop.translating import speak, wanted, window_texts
from fabsched.desktop.window import MainWindow
from fabsched.session import language
from fabsched.session.wording import placeholders, templates_in
from tests.desktop.window_texts import texts

OTHERS = [code for code in language.KNOWN if code != language.ENGLISH]
MARKS = re.compile(r"%[sdg]")


@pytest.mark.parametrize("code", OTHERS)
def test_every_sentence_is_there_with_all_its_facts(code: str) -> None:
    """The tables have the same keys, and each template asks for the same facts."""
    english, other = templates_in("en"), templates_in(code)
    assert {section: set(entries) for section, entries in english.items()} == {
        section: set(entries) for section, entries in other.items()
    }
    for section, entries in english.items():
        for key, text in entries.items():
            assert placeholders(text) == placeholders(other[section][key]), (section, key)


@pytest.mark.parametrize("code", OTHERS)
def test_every_text_of_the_window_is_translated(code: str) -> None:
    """Whatever goes through `tr` has its line, none is left over, and figures keep their places."""
    wanted_texts, known = texts(), window_texts(code)
    missing = {text: place for text, place in wanted_texts.items() if text not in known}
    assert not missing
    assert not set(known) - set(wanted_texts)
    for text, shown in known.items():
        assert MARKS.findall(text) == MARKS.findall(shown), text
        assert text.count("&") == shown.count("&"), text
        assert (text[0] == " ", text.endswith("\u2026")) == (shown[0] == " ", shown[-1] == "\u2026")


@pytest.fixture
def german(dressed: QApplication, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The application while it speaks German."""
    monkeypatch.setenv(language.VARIABLE, "de")
    before = QLocale()
    translators = speak(dressed, "de")
    yield
    for translator in translators:
        dressed.removeTranslator(translator)
    QLocale.setDefault(before)


def shown_texts(widget: QWidget) -> set[str]:
    """What labels and buttons below a widget say."""
    labels = {label.text() for label in widget.findChildren(QLabel)}
    return labels | {button.text() for button in widget.findChildren(QPushButton)}


@pytest.mark.usefixtures("german")
def test_the_window_speaks_german(planned: MainWindow) -> None:
    """Menus, pages and the sentence at the top do; no English text of its own is left on buttons."""
    assert [action.text() for action in planned.menuBar().actions()] == [
        "&Projekt",
        "&Bearbeiten",
        "P&lan",
        "&Ansicht",
    ]
    assert planned.plan.words.title(0) == "&Zeitleiste"
    assert "durchgespielten Wochenenden" in planned.headline.odds.text()
    assert "Sonntag" in planned.headline.odds.text()
    assert ". M" in planned.headline.deadline.edit.text()
    english = {text for text, shown in window_texts("de").items() if text != shown}
    assert not shown_texts(planned) & english


def test_the_language_is_that_of_the_system_unless_it_is_chosen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The variable goes before the settings, these before the system; unknown ones are English."""
    german, french = QLocale("de_AT"), QLocale("fr_FR")
    monkeypatch.setattr(QLocale, "system", lambda: german)
    assert wanted({}) == "de"
    settings.keep(translating.CHOSEN, "en")
    assert wanted({}) == "en"
    assert wanted({language.VARIABLE: "de_CH.UTF-8"}) == "de"
    settings.keep(translating.CHOSEN, "")
    monkeypatch.setattr(QLocale, "system", lambda: french)
    assert wanted({}) == "en"


def test_workers_speak_the_language_too(
    dressed: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is handed on where processes find it."""
    monkeypatch.setenv(language.VARIABLE, "en")
    before = QLocale()
    assert speak(dressed, "en") == ()
    QLocale.setDefault(before)
    assert os.environ[language.VARIABLE] == "en"


def test_the_language_can_be_chosen_in_the_menu(window: MainWindow) -> None:
    """It is kept, and the strip says that it holds from the next start on."""
    view = window.menuBar().actions()[-1].menu()
    assert isinstance(view, QMenu)
    languages = view.actions()[-1].menu()
    assert isinstance(languages, QMenu)
    assert [action.text() for action in languages.actions()] == [
        "That of the system",
        "English",
        "Deutsch",
    ]
    languages.actions()[2].trigger()
    assert settings.text(translating.CHOSEN) == "de"
    assert "Deutsch" in window.strip.told.text()
