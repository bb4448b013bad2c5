"""Every control of every page, form and dialog has a name for screen readers and tells what it is for."""

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QCalendarWidget,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QLineEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from fabsched.desktop.bench.details import Details, Question
from fabsched.desktop.finder import Finder
from fabsched.desktop.window import MainWindow
from fabsched.desktop.zones import own_zone
from fabsched.session.sayings import Verb
from tests.desktop import made
from tests.desktop.bench.conftest import settled
from tests.desktop.conftest import Clock
from tests.desktop.fakes import FakePool
from tests.desktop.laid_out import name_of, named
from tests.desktop.loaded import load

CONTROLS = (QAbstractButton, QAbstractSpinBox, QAbstractSlider, QComboBox, QLineEdit)
OWNERS = (QAbstractSpinBox, QComboBox, QLineEdit, QDialogButtonBox, QCalendarWidget)
"""What is inside these is Qt's own; the buttons of a dialog say all there is to say."""

pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")


def ours(top: QWidget) -> Iterator[QWidget]:
    """Everything below a widget that can have the focus, whether it is seen now or not."""
    for widget in top.findChildren(QWidget):
        owner = widget.parentWidget()
        while owner is not None and owner is not top and not isinstance(owner, OWNERS):
            owner = owner.parentWidget()
        theirs = isinstance(owner, OWNERS) or widget.objectName().startswith("qt_")
        if not theirs and widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
            yield widget


def dumb(top: QWidget) -> list[str]:
    """Controls without a name, and buttons and fields that do not tell what they are for."""
    found = [f"{name_of(w)} has no name" for w in ours(top) if not named(w)]
    fields = (w for w in ours(top) if isinstance(w, CONTROLS))
    return found + [f"{name_of(w)} has no tooltip" for w in fields if not w.toolTip()]


def test_a_control_that_says_nothing_is_noticed(qtbot: QtBot) -> None:
    """The look itself sees a nameless field and a button without explanation, even hidden ones."""
    top = QWidget()
    qtbot.addWidget(top)
    QLineEdit(top).hide()
    button = QComboBox(top)
    button.setAccessibleName("choice")
    assert sorted(dumb(top)) == [
        "QComboBox 'choice' has no tooltip",
        "QLineEdit '' has no name",
        "QLineEdit '' has no tooltip",
    ]


def test_everything_on_all_pages_speaks(planned: MainWindow, pool: FakePool) -> None:
    """All pages with all there is on them, with the form of work and those of a part unfolded."""
    planned.parts.chosen.emit("cradle")
    planned.work.begin(None)
    planned.part.dimensions.pick.click()
    found: set[str] = set()
    for index in range(planned.plan.pages.count()):
        planned.plan.pages.setCurrentIndex(index)
        load(pool)
        found.update(dumb(planned))
    assert not found, "\n".join(sorted(found))


def test_everything_of_the_shop_speaks(planned: MainWindow, pool: FakePool) -> None:
    """Every place, person, machine and stock has a form of its own."""
    planned.actions_.shop.trigger()
    load(pool)
    tree = planned.shop.list
    groups = [tree.topLevelItem(at) for at in range(tree.topLevelItemCount())]
    records = [group.child(at) for group in groups if group for at in range(group.childCount())]
    assert len(records) >= 6
    for record in records:
        assert record is not None
        tree.setCurrentItem(record)
        QApplication.processEvents()
        assert dumb(planned.shop) == []


def test_the_bench_and_its_choices_speak(
    qtbot: QtBot, planned: MainWindow, pool: FakePool, clock: Clock
) -> None:
    """The small window, the bar of what was told, the log, and the cards after a failure."""
    planned.actions_.bench.trigger()
    teller = planned.making.teller
    teller.tell(Verb.START, "louvres.start")
    settled(qtbot, planned, pool)
    clock.moment_s += 4 * 3600
    teller.tell(Verb.FAIL, "louvres")
    settled(qtbot, planned, pool)
    assert planned.making.choices.cards.cards
    assert dumb(planned) == []
    assert dumb(planned.making.small) == []
    planned.making.small.close()


@pytest.mark.parametrize(
    "make",
    [
        lambda window: Finder(list(window.actions_.all), window),
        lambda window: Details(
            Question(
                title="Lid",
                zone=own_zone(),
                now_s=made.BEGIN,
                at_s=made.BEGIN,
                share=0.5,
                whole_s=3600,
                until_s=made.BEGIN + 3600,
            ),
            lambda _facts: None,
            window,
        ),
    ],
)
def test_dialogs_speak(window: MainWindow, make: Callable[[MainWindow], QDialog]) -> None:
    """The list of actions, and the question when and how far."""
    dialog = make(window)
    dialog.show()
    assert dumb(dialog) == []
    dialog.close()
