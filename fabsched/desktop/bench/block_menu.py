"""The menu of a block on the timeline: what can be said of it. By the right button or the Menu key."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QContextMenuEvent, QKeyEvent
from PySide6.QtWidgets import QMenu, QWidget

from fabsched.desktop.bench.asker import Asker
from fabsched.desktop.bench.sayings import LOST, STARTED, Say, entry_behind, runs_alone, sayings
from fabsched.desktop.bench.waiting import awaited_by
from fabsched.desktop.desk import Desk
from fabsched.desktop.timeline.picking import block_at
from fabsched.desktop.timeline.scene import Lane
from fabsched.desktop.timeline.widget import TimelineView
from fabsched.model.plan import Block
from fabsched.session.sayings import Verb
from fabsched.session.wording import phrase


class BlockMenu(QObject):
    """Opens the menu over a timeline."""

    def __init__(self, desk: Desk, view: TimelineView, asker: Asker) -> None:
        """Watch a timeline.

        Args:
            desk: whose plan it shows.
            view: the timeline.
            asker: says what was chosen.
        """
        super().__init__(view)
        self._desk, self._view, self._asker = desk, view, asker
        for watched in (view, view.viewport()):
            watched.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Open the menu where it is asked for."""
        del watched
        if isinstance(event, QContextMenuEvent):
            by_key = event.reason() == QContextMenuEvent.Reason.Keyboard
            return self._open_selected() if by_key else self._open_at(event)
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            return event.key() == Qt.Key.Key_Menu and self._open_selected()
        return False

    def _open_at(self, event: QContextMenuEvent) -> bool:
        view = self._view
        if view.scene is None:
            return False
        at = view.viewport().mapFromGlobal(event.globalPos())
        block = block_at(view.scene, view.frame(), view.scale, at.x(), at.y())
        if block is None:
            lane = self._lane_at(at.y())
            return lane is not None and self._show(self._of_lane(lane), event.globalPos())
        view.select(block.id)
        return self._show(self._of_block(block), event.globalPos())

    def _open_selected(self) -> bool:
        view = self._view
        block = view.scene.block(view.chosen) if view.scene else None
        lane = view.scene.lane_of(view.chosen) if view.scene else None
        if block is None or lane is None:
            return False
        slot, left = view.frame().slot(lane), view.scale.x(block.start_s)
        x = min(max(left, view.scale.left_px), view.scale.right_px)
        at = QPoint(round(x), round(slot.y + slot.h / 2))
        return self._show(self._of_block(block), view.viewport().mapToGlobal(at))

    def _lane_at(self, y: float) -> Lane | None:
        """The lane at a height."""
        view = self._view
        lanes = view.scene.lanes if view.scene else ()
        rects = [view.frame().lane(index) for index in range(len(lanes))]
        return next((x for x, r in zip(lanes, rects, strict=True) if r.y <= y < r.bottom), None)

    def _show(self, menu: QMenu, at: QPoint) -> bool:
        if menu.isEmpty():
            menu.deleteLater()
            return False
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(at)
        menu.setActiveAction(menu.actions()[1])
        return True

    def _of_block(self, block: Block) -> QMenu:
        """What can be said of a block; of one that lies behind, what can be put right."""
        menu, session = QMenu(self._view), self._desk.session
        scene = self._view.scene
        if session is None or scene is None:
            return menu
        if (past := scene.past.get(block.id)) is not None:
            entry = entry_behind(session, block.activity, past.ending)
            if entry is not None:
                _add(menu, phrase("say-correct"), partial(self._asker.correct, entry))
                _add(menu, phrase("say-withdraw"), partial(self._asker.teller.withdraw, entry.id))
        else:
            for say in sayings(block, session.log.state):
                tip = phrase("say-started-alone") if say == STARTED and runs_alone(block) else ""
                _add(menu, phrase(say.code), partial(self._asker.say, say, block), tip)
            for each in awaited_by(session, block):
                text = phrase("say-arrived", what=each.name)
                _add(menu, text, partial(self._asker.teller.tell, Verb.ARRIVE, each.subject))
        return _headed(menu, block.what)

    def _of_lane(self, lane: Lane) -> QMenu:
        """That a machine or person cannot be had."""
        menu = QMenu(self._view)
        say: Say = LOST
        _add(menu, phrase(say.code), partial(self._asker.lose, lane.id, lane.title))
        return _headed(menu, lane.title)


def _add(menu: QMenu, text: str, deed: Callable[[], object], tip: str = "") -> None:
    action = menu.addAction(text)
    if tip:
        action.setToolTip(tip)
        menu.setToolTipsVisible(True)
    action.triggered.connect(lambda _checked: deed())


def _headed(menu: QMenu, title: str) -> QMenu:
    """The menu under a title; an empty one stays empty."""
    if not menu.isEmpty():
        menu.insertSection(menu.actions()[0], title)
        menu.setAccessibleName(title)
    return menu


def menu_of(view: QWidget) -> QMenu | None:
    """The menu that is open over a widget, if there is one."""
    return next((menu for menu in view.findChildren(QMenu) if menu.isVisible()), None)
