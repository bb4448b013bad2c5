"""Files are written whole or not at all."""

import os
import secrets
from contextlib import suppress
from pathlib import Path

from fabsched.model.errors import Fault, InputError


def write_bytes_atomic(path: Path, data: bytes, *, durable: bool = True) -> None:
    """Put a file in place so that readers see the old bytes or the new ones, never a mixture.

    The bytes go to a second file in the same folder, are flushed to the disk, and take the name in
    one step. A symbolic link stays a link, an existing file keeps its permissions.

    Args:
        path: the file; its folder must exist.
        data: all its bytes.
        durable: whether the file must be there after a power cut. What can be made again need not:
            waiting for the disk takes longer than all the rest.

    Raises:
        InputError: the file cannot be written; whatever was there before is unharmed.
    """
    target = Path(os.path.realpath(path))
    draft = target.with_name(f".{secrets.token_hex(8)}.part")
    try:
        _write_draft(draft, data, _mode(target), durable=durable)
        draft.replace(target)
        if durable:
            _flush_folder(target.parent)
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise InputError(Fault.FILE_UNWRITABLE, str(path), why=why) from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)


def _mode(target: Path) -> int | None:
    try:
        return target.stat().st_mode & 0o777
    except OSError:
        return None


def _write_draft(draft: Path, data: bytes, mode: int | None, *, durable: bool) -> None:
    with draft.open("xb") as file:
        file.write(data)
        file.flush()
        if durable:
            os.fsync(file.fileno())
    if mode is not None:
        draft.chmod(mode)


def _flush_folder(folder: Path) -> None:
    """Make the new name survive a power cut, where folders can be flushed.

    They cannot on Windows and on some network file systems; the file itself is whole by now.
    """
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
