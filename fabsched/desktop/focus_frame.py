"""The frame around what has the focus, for widgets that draw themselves."""

from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QStyle, QStyleOptionFocusRect, QWidget


def draw_focus_frame(painter: QPainter, widget: QWidget) -> None:
    """Draw it as the style does; nothing while the widget has no focus."""
    if widget.hasFocus():
        option = QStyleOptionFocusRect()
        option.initFrom(widget)
        frame = QStyle.PrimitiveElement.PE_FrameFocusRect
        widget.style().drawPrimitive(frame, option, painter, widget)
