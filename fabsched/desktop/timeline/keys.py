"""What keys do on the timeline.

Left and right go from block to block, up and down from lane to lane, + and - zoom, 0 shows
everything, Page Up and Page Down move in time, Home and End go to the beginning and the deadline,
Escape lets the block go.
"""

from collections.abc import Callable
from typing import Protocol

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QKeySequence

from fabsched.desktop.timeline.geometry import Scale
from fabsched.desktop.timeline.picking import next_block, next_lane
from fabsched.desktop.timeline.scene import Scene
from fabsched.model.plan import Block

ZOOM_STEP = 1.25
"""How much one notch or key press zooms (our own choice)."""

AHEAD = 0.8
"""Where the deadline comes to lie, as a share of the width (our own choice)."""


class View(Protocol):
    """What keys need of a timeline."""

    @property
    def scene(self) -> Scene | None:
        """What is shown."""

    @property
    def scale(self) -> Scale:
        """Time along x."""

    def zoom(self, factor: float) -> None:
        """Zoom around the middle."""

    def pan(self, px: float) -> None:
        """Move in time."""

    def fit(self) -> None:
        """Show everything."""

    def select(self, ident: str) -> None:
        """Mark a block; empty lets go."""

    def step(self, rule: Callable[[Scene, str, int], Block | None], step: int) -> None:
        """Select the block a rule finds from the selected one."""

    def go_to(self, moment_s: float, share: float) -> None:
        """Let a moment lie at a share of the width."""


def deed_of(event: QKeyEvent, view: View) -> Callable[[], None] | None:
    """What a key does on a timeline that shows something; None if nothing."""
    if view.scene is None:
        return None
    if event.matches(QKeySequence.StandardKey.ZoomIn) or event.text() in {"+", "="}:
        return lambda: view.zoom(ZOOM_STEP)
    if event.matches(QKeySequence.StandardKey.ZoomOut) or event.text() == "-":
        return lambda: view.zoom(1 / ZOOM_STEP)
    return _deeds(view, view.scene).get(event.key())


def _deeds(view: View, shown: Scene) -> dict[int, Callable[[], None]]:
    page_px = view.scale.width_px / 2
    return {
        Qt.Key.Key_Left: lambda: view.step(next_block, -1),
        Qt.Key.Key_Right: lambda: view.step(next_block, 1),
        Qt.Key.Key_Up: lambda: view.step(next_lane, -1),
        Qt.Key.Key_Down: lambda: view.step(next_lane, 1),
        Qt.Key.Key_0: view.fit,
        Qt.Key.Key_PageUp: lambda: view.pan(-page_px),
        Qt.Key.Key_PageDown: lambda: view.pan(page_px),
        Qt.Key.Key_Home: lambda: view.go_to(shown.shown_s[0], 0.0),
        Qt.Key.Key_End: lambda: view.go_to(shown.deadline_s, AHEAD),
        Qt.Key.Key_Escape: lambda: view.select(""),
    }
