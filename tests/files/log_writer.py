"""Writes until it is killed: run in a process of its own by the tests of durability.

Says on standard output what has been acknowledged, one number a line.
"""

import sys
from pathlib import Path

from fabsched.files.log_sqlite import LogFile
from fabsched.files.project_edit import save_project_text
from fabsched.model.log import Entry, Event

PROJECT = 'name = "Box {number}"\nzone = "Europe/Berlin"\ndeadline = 2027-03-07T21:00:00\n# {pad}\n'


def entry(number: int, writer: str) -> Entry:
    """An entry one knows again."""
    return Entry(kind=Event.STARTED, moment_s=number, noted_s=number, subject=f"{writer}-{number}")


def main(what: str, folder: Path, first: int, count: int) -> None:
    """Write `count` times, or without end if that is 0."""
    log, number = LogFile(folder), first
    while not count or number < first + count:
        if what == "project":
            text = PROJECT.format(number=number, pad="x" * (number * 97 % 20_000))
            save_project_text(folder, text)
        else:
            fresh = [entry(number, what)]
            log.add(lambda _, fresh=fresh: fresh)  # type: ignore[misc] # bound at once
        print(number, flush=True)  # noqa: T201 - the acknowledgement
        number += 1


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
