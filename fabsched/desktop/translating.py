"""The window's own texts in the user's language.

They go through Qt's `tr` like those of any Qt program. The translator is a small class over a TOML
table, not a `.qm` file compiled by Qt's `lrelease`: so both kinds of texts, sentences and those of the
window, lie side by side as text one can read and compare, and nothing has to be compiled when one
changes. A text has one translation wherever it stands, so that contexts (class names, as Qt gives
them) are not told apart.
"""

import tomllib
from collections.abc import Callable, Mapping
from functools import cache

from PySide6.QtCore import QLibraryInfo, QLocale, QTranslator
from PySide6.QtGui import QActionGroup
from PySide6.QtWidgets import QApplication, QMainWindow, QMenu

from fabsched.desktop import settings
from fabsched.files.resources import resource
from fabsched.session.language import ENGLISH, VARIABLE, language, spoken, use
from fabsched.session.wording import phrase

CHOSEN = "language"
"""Key in the settings of the language the user has chosen; empty for that of the system."""
NAMES: Mapping[str, str] = {"en": "English", "de": "Deutsch"}
"""What languages call themselves; never translated."""


@cache
def window_texts(code: str) -> Mapping[str, str]:
    """English text to the one shown, for a language other than English."""
    tables = tomllib.loads(resource(f"wording/window.{code}.toml").read_text("utf-8"))
    return {text: shown for table in tables.values() for text, shown in table.items()}


class TableTranslator(QTranslator):
    """Looks texts up in a table."""

    def __init__(self, table: Mapping[str, str], parent: QApplication) -> None:
        """Make a translator over a table of texts."""
        super().__init__(parent)
        self._table = table

    def isEmpty(self) -> bool:  # noqa: N802 - Qt's name
        """It has texts, although none were loaded from a file."""
        return False

    def translate(
        self,
        context: str,
        sourceText: str,  # noqa: N803 - Qt's name
        disambiguation: str | None = None,
        n: int = -1,
    ) -> str | None:
        """The text shown for another; None lets the text stay as it is."""
        del context, disambiguation, n
        return self._table.get(sourceText)


def wanted(variables: Mapping[str, str]) -> str:
    """The language to speak: of the environment, else of the settings, else of the system.

    Args:
        variables: the environment.
    """
    system = spoken(QLocale.system().name())
    return spoken(variables.get(VARIABLE, "")) or spoken(settings.text(CHOSEN)) or system or ENGLISH


def choose(code: str) -> None:
    """Speak another language from the next start on.

    Args:
        code: of the language; empty for that of the system.
    """
    settings.keep(CHOSEN, code)


def speak(app: QApplication, code: str) -> tuple[QTranslator, ...]:
    """Let a window that is made after this speak a language, Qt's own dialogs and dates included.

    Returns:
        The translators that were installed; whoever wants to go back removes them.
    """
    use(code)
    QLocale.setDefault(QLocale(code))
    if code == ENGLISH:
        return ()
    own, qt = TableTranslator(window_texts(code), app), QTranslator(app)
    folder = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
    made: list[QTranslator] = [own]
    if qt.load(QLocale(code), "qtbase", "_", folder):
        made.insert(0, qt)  # what was installed last is asked first
    for translator in made:
        app.installTranslator(translator)
    return tuple(made)


def date_locale() -> QLocale:
    """What dates are written and weeks laid out by: English ones begin weeks on Monday, as the plan."""
    if language() == ENGLISH:
        return QLocale(QLocale.Language.English, QLocale.Country.UnitedKingdom)
    return QLocale(language())


def language_menu(window: QMainWindow, told: Callable[[str], object]) -> QMenu:
    """A menu of the languages there are, and that of the system.

    Args:
        window: the window it is for.
        told: is given the sentence that the choice holds from the next start on.
    """
    menu = QMenu(window.tr("&Language, from the next start on"), window)
    menu.setToolTipsVisible(True)
    group = QActionGroup(menu)
    chosen = spoken(settings.text(CHOSEN))
    for code, name in {"": window.tr("That of the system"), **NAMES}.items():
        action = group.addAction(menu.addAction(name))
        action.setCheckable(True)
        action.setChecked(code == chosen)
        action.triggered.connect(lambda _checked, code=code: told(_chosen(code)))
    return menu


def _chosen(code: str) -> str:
    choose(code)
    if code:
        return phrase("language-chosen", language=NAMES[code])
    return phrase("language-system")
