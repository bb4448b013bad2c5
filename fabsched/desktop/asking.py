"""Asking for files and folders without stopping the program: the answer comes later, or never."""

from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import QCoreApplication, QStandardPaths, Qt
from PySide6.QtWidgets import QFileDialog, QWidget

Then = Callable[[Path], None]
"""What is done with the path that was chosen."""
ThenAll = Callable[[tuple[Path, ...]], None]
"""What is done with the paths that were chosen."""


class Asks(Protocol):
    """How the window asks; tests answer in the user's place."""

    def new_folder(self, title: str, name: str, then: Then) -> None:
        """Ask for a folder that is to be made, with a name to begin with."""

    def folder(self, title: str, then: Then) -> None:
        """Ask for a folder that is there."""

    def part_files(self, title: str, then: ThenAll) -> None:
        """Ask for part files."""

    def busy_file(self, title: str, then: Then) -> None:
        """Ask for a calendar file that is there."""

    def ladder_file(self, title: str, then: Then) -> None:
        """Ask for the file of a ladder of test cuts."""

    def picture_file(self, title: str, name: str, then: Then) -> None:
        """Ask where to put a picture."""

    def calendar_file(self, title: str, name: str, then: Then) -> None:
        """Ask where to put a calendar."""


class Dialogs:
    """Asks with the platform's file dialogs."""

    def __init__(self, parent: QWidget, endings: tuple[str, ...]) -> None:
        """Make it.

        Args:
            parent: the window the dialogs belong to.
            endings: of part files, with their dots.
        """
        self._parent = parent
        self._endings = endings

    def new_folder(self, title: str, name: str, then: Then) -> None:
        """Ask for a folder that is to be made, with a name to begin with."""
        dialog = self._dialog(title)
        dialog.setFileMode(QFileDialog.FileMode.AnyFile)
        dialog.setOption(QFileDialog.Option.ShowDirsOnly)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setLabelText(QFileDialog.DialogLabel.FileName, _tr("New folder"))
        dialog.setLabelText(QFileDialog.DialogLabel.Accept, _tr("Make it"))
        dialog.selectFile(name)
        self._open(dialog, then)

    def folder(self, title: str, then: Then) -> None:
        """Ask for a folder that is there."""
        dialog = self._dialog(title)
        dialog.setFileMode(QFileDialog.FileMode.Directory)
        dialog.setOption(QFileDialog.Option.ShowDirsOnly)
        self._open(dialog, then)

    def part_files(self, title: str, then: ThenAll) -> None:
        """Ask for part files."""
        dialog = self._dialog(title)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFiles)
        patterns = " ".join(f"*{ending} *{ending.upper()}" for ending in self._endings)
        dialog.setNameFilter(f"{_tr('Part files')} ({patterns})")
        dialog.filesSelected.connect(lambda names: then(tuple(Path(name) for name in names)))
        dialog.open()

    def busy_file(self, title: str, then: Then) -> None:
        """Ask for a calendar file that is there."""
        dialog = self._dialog(title)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setNameFilter(f"{_tr('Calendar')} (*.ics)")
        self._open(dialog, then)

    def ladder_file(self, title: str, then: Then) -> None:
        """Ask for the file of a ladder of test cuts."""
        dialog = self._dialog(title)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setNameFilter(f"{_tr('Ladder')} (*.toml)")
        self._open(dialog, then)

    def picture_file(self, title: str, name: str, then: Then) -> None:
        """Ask where to put a picture."""
        dialog = self._dialog(title)
        dialog.setFileMode(QFileDialog.FileMode.AnyFile)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setNameFilters([f"{_tr('Picture')} (*.png)", f"{_tr('Drawing')} (*.svg)"])
        dialog.setDefaultSuffix("png")
        dialog.filterSelected.connect(
            lambda chosen: dialog.setDefaultSuffix("svg" if "svg" in chosen else "png")
        )
        dialog.selectFile(name)
        self._open(dialog, then)

    def calendar_file(self, title: str, name: str, then: Then) -> None:
        """Ask where to put a calendar."""
        dialog = self._dialog(title)
        dialog.setFileMode(QFileDialog.FileMode.AnyFile)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setNameFilter(f"{_tr('Calendar')} (*.ics)")
        dialog.setDefaultSuffix("ics")
        dialog.selectFile(name)
        self._open(dialog, then)

    def _dialog(self, title: str) -> QFileDialog:
        home = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
        dialog = QFileDialog(self._parent, title, home)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        return dialog

    @staticmethod
    def _open(dialog: QFileDialog, then: Then) -> None:
        dialog.fileSelected.connect(lambda name: then(Path(name)))
        dialog.open()


def _tr(text: str) -> str:
    return QCoreApplication.translate("Dialogs", text)
