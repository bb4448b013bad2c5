"""The entry in the applications menu, held against the specifications of freedesktop.org."""

import configparser
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from fabsched.desktop import menu_entry
from fabsched.desktop.menu_entry import ENTRY, ICON, TYPE, add, data_home, quoted
from fabsched.desktop.window import MainWindow
from fabsched.model.errors import Fault, InputError

MIME = "{http://www.freedesktop.org/standards/shared-mime-info}"


def entry_of(path: Path) -> dict[str, str]:
    """The keys of an entry."""
    read = configparser.RawConfigParser(delimiters="=", interpolation=None)
    read.optionxform = str  # type: ignore[assignment, method-assign]  # keys keep their capitals
    read.read_string(path.read_text("utf-8"))
    assert read.sections() == ["Desktop Entry"]
    return dict(read["Desktop Entry"])


def words_of(line: str) -> list[str]:
    """Words of a command, by the quoting rules of "The Exec key"."""
    found = re.findall(r'"((?:\\.|[^"\\])*)"|(\S+)', line)
    return [re.sub(r"\\(.)", r"\1", quoted_one) or plain for quoted_one, plain in found]


def test_the_entry_starts_this_program_with_what_was_clicked(tmp_path: Path) -> None:
    """Its keys are those the Desktop Entry Specification 1.5 asks of an application.

    Read back by the rules of section "The Exec key": values are unescaped, then split and
    unquoted, then `%%` is a percent sign and `%f` the file.
    """
    words = ('/opt/a "b" $c/100%/fabsched', "-m")
    keys = entry_of(add(tmp_path, words))
    assert {"Type", "Name", "Exec", "Icon", "MimeType"} <= set(keys)
    assert (keys["Type"], keys["Icon"], keys["Version"]) == ("Application", "fabsched", "1.5")
    assert all(keys[name].endswith(";") for name in ("MimeType", "Categories", "Keywords"))
    given = words_of(keys["Exec"].replace("\\\\", "\\"))
    assert given[-2:] == ["--open", "%f"]
    assert tuple(word.replace("%%", "%") for word in given[:-2]) == words
    assert not re.search(r"\{\w+\}", (tmp_path / ENTRY).read_text("utf-8"))


def test_project_files_get_a_type_of_their_own(tmp_path: Path) -> None:
    """The type named in the entry is the one whose pattern is `project.toml`, with its icon."""
    keys = entry_of(add(tmp_path, ("fabsched",)))
    (kind,) = ET.fromstring((tmp_path / TYPE).read_text("utf-8"))  # noqa: S314 - our own file
    glob = kind.find(f"{MIME}glob")
    assert glob is not None
    assert glob.get("pattern") == "project.toml"
    assert kind.get("type") in keys["MimeType"].split(";")
    assert (tmp_path / ICON).read_text("utf-8").lstrip().startswith("<")


def test_it_goes_to_the_users_own_folder() -> None:
    """As the XDG Base Directory Specification 0.8 has it; relative paths in it do not count."""
    assert data_home({"XDG_DATA_HOME": "/x/data"}) == Path("/x/data")
    assert data_home({"XDG_DATA_HOME": "data"}) == Path.home() / ".local/share"
    assert data_home({}) == Path.home() / ".local/share"


def test_a_folder_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    """One line with the file, no traceback."""
    blocked = tmp_path / "file"
    blocked.write_text("")
    with pytest.raises(InputError) as caught:
        add(blocked, ("fabsched",))
    assert caught.value.code is Fault.FILE_UNWRITABLE


def test_nothing_is_written_unless_one_asks(
    window: MainWindow, project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The action writes it, and says where it is; on platforms without such menus it is grey."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "share"))
    window.open_folder(project)
    assert not (tmp_path / "share" / ENTRY).exists()
    assert window.actions_.entry.isEnabled() == menu_entry.offered()
    if menu_entry.offered():
        window.actions_.entry.trigger()
        assert (tmp_path / "share" / ENTRY).is_file()
        assert str(tmp_path / "share" / ENTRY) in window.strip.told.text()


def test_plain_words_stay_plain() -> None:
    """Quotes stand around every word, which the specification allows."""
    assert quoted(("fabsched",)) == '"fabsched"'
