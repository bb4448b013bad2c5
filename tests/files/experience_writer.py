"""Learns until it is killed or done: run in a process of its own by the tests of durability.

Says on standard output what has been acknowledged, one number a line.
"""

import sys
from pathlib import Path

from fabsched.files.experience_sqlite import ExperienceFile
from fabsched.model.experience import ChanceTold


def main(who: str, path: Path, count: int) -> None:
    """Learn `count` things, one after the other."""
    for number in range(count):
        told = ChanceTold(key=f"{who}/{number:04}", at_s=number, chance=0.5, came_true=True)
        ExperienceFile(path).sync(f"{who}/{number:04}", [told])
        print(number, flush=True)  # noqa: T201 - the acknowledgement


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]))
