"""Drawing without a window: Qt made ready, and pictures as bytes."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QGuiApplication, QImage, QImageWriter


@contextmanager
def application() -> Iterator[None]:
    """Qt made ready to draw: what is there already, or one of our own for the time being."""
    if QGuiApplication.instance() is not None:
        yield
        return
    own = QGuiApplication([sys.argv[0], *_platform()])
    try:
        yield
    finally:
        own.shutdown()


def _platform() -> tuple[str, ...]:
    """Arguments that keep Qt from looking for a screen where there is none."""
    with_screen = sys.platform in {"win32", "darwin"} or any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    )
    return () if with_screen else ("-platform", "offscreen")


def png_bytes(image: QImage) -> bytes:
    """An image as PNG."""
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, b"png").write(image)
    return bytes(data.data())
