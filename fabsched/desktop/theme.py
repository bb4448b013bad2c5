"""One palette for the window, made from the timeline's colours, so that both are of one piece."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from fabsched.desktop.timeline.look import BLUE, DARK, LIGHT, Scheme, mixed

Role, Group = QPalette.ColorRole, QPalette.ColorGroup


def apply_theme(app: QApplication) -> None:
    """Give the application its style and palette; follows the system when it turns dark or light."""
    app.setStyle("Fusion")
    hints = QGuiApplication.styleHints()
    app.setPalette(palette(dark=hints.colorScheme() == Qt.ColorScheme.Dark))
    hints.colorSchemeChanged.connect(
        lambda scheme: app.setPalette(palette(dark=scheme == Qt.ColorScheme.Dark))
    )


def palette(*, dark: bool) -> QPalette:
    """The palette of a scheme."""
    scheme = DARK if dark else LIGHT
    made = QPalette(QColor(_button(scheme)), QColor(scheme.ground))
    for role, colour in _colours(scheme).items():
        made.setColor(role, QColor(colour))
    for role in (Role.WindowText, Role.Text, Role.ButtonText):
        made.setColor(Group.Disabled, role, mixed(QColor(scheme.ground), QColor(scheme.ink), 0.45))
    return made


def _colours(scheme: Scheme) -> dict[QPalette.ColorRole, str]:
    return {
        Role.Window: scheme.ground,
        Role.WindowText: scheme.ink,
        Role.Base: scheme.lane,
        Role.AlternateBase: scheme.shut,
        Role.Text: scheme.ink,
        Role.PlaceholderText: scheme.faint,
        Role.Button: _button(scheme),
        Role.ButtonText: scheme.ink,
        Role.ToolTipBase: scheme.lane,
        Role.ToolTipText: scheme.ink,
        Role.Highlight: BLUE,
        Role.HighlightedText: "#FFFFFF",
        Role.Accent: BLUE,
        Role.Mid: scheme.line,
        Role.Link: BLUE,
    }


def _button(scheme: Scheme) -> str:
    return mixed(QColor(scheme.ground), QColor(scheme.lane), 0.6).name()
