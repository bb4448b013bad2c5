"""Whether there is a screen a window can be opened on: Qt itself would end the program without one."""

import ctypes
import os
import sys
from collections.abc import Mapping
from pathlib import Path

from PySide6.QtCore import QLibraryInfo

from fabsched.model.errors import Fault, InputError

PLUGIN = "platforms/libqxcb.so"
"""What Qt draws windows with under X11, in its folder of plugins."""
XCB = "libxcb.so.1"
"""The library that talks to an X server."""


def check_screen(environment: Mapping[str, str] = os.environ) -> None:
    """Refuse to open a window where there is nothing to open it on.

    Only Linux and its kin run without a screen; what was asked of Qt by name is left to it.

    Args:
        environment: variables of this process.

    Raises:
        InputError: there is no screen, it cannot be reached, or a library is missing.
    """
    given = any(environment.get(name) for name in ("QT_QPA_PLATFORM", "WAYLAND_DISPLAY"))
    if sys.platform in {"win32", "darwin"} or given:
        return
    display = environment.get("DISPLAY", "")
    if not display:
        raise InputError(Fault.NO_SCREEN, "fabsched", why="DISPLAY is not set")
    _check_plugin(Path(QLibraryInfo.path(QLibraryInfo.LibraryPath.PluginsPath)) / PLUGIN)
    _check_display(display)


def _check_plugin(plugin: Path) -> None:
    """See that every library the plugin needs is there; the loader names one that is not."""
    if plugin.exists():
        try:
            ctypes.CDLL(str(plugin))
        except OSError as error:
            name = str(error).split(":", 1)[0]
            raise InputError(Fault.LIBRARY_MISSING, "fabsched", name=name) from error


def _check_display(display: str) -> None:
    """See that an X server answers there."""
    xcb = ctypes.CDLL(XCB)
    xcb.xcb_connect.restype = ctypes.c_void_p
    for function in (xcb.xcb_connection_has_error, xcb.xcb_disconnect):
        function.argtypes = [ctypes.c_void_p]
    link = xcb.xcb_connect(display.encode(), None)
    lost = xcb.xcb_connection_has_error(link)
    xcb.xcb_disconnect(link)
    if lost:
        raise InputError(Fault.NO_SCREEN, "fabsched", why=f"'{display}' does not answer")
