"""Changes that would make a weekend fit, as lines of the files they stand in."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import Path

from fabsched.advise.fits import Fit
from fabsched.files.project_edit import project_text
from fabsched.files.project_toml import PROJECT_FILE, read_project_text
from fabsched.files.resources import resource
from fabsched.files.shop_text import shop_text
from fabsched.files.shop_toml import SHOP_FILE, find_shop, user_shop
from fabsched.files.toml_source import read_text
from fabsched.model.errors import InputError
from fabsched.model.weekend import Weekend
from fabsched.session.edits import Edit
from fabsched.session.fit_taking import taken
from fabsched.session.project_session import Session
from fabsched.session.shop_book import ShopEdit


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChange:
    """Lines of a file that become others.

    Attributes:
        file: which one.
        copied: the file it first has to be copied from; None where it is there already.
        line: number of the first line that changes, from 1.
        old: the lines that go; none where lines are only put in before that line.
        new: the lines that come instead; none where lines are only taken out.
    """

    file: Path
    copied: Path | None = None
    line: int
    old: tuple[str, ...]
    new: tuple[str, ...]


def line_changes(session: Session, weekend: Weekend, fit: Fit) -> tuple[LineChange, ...]:
    """What carrying a change out would write; nothing is written.

    Args:
        session: the open project.
        weekend: what was planned.
        fit: the change.

    Returns:
        The lines that differ, as `take_fit` would leave them; none if it cannot be carried out so. The
        shipped shop is never edited: the user's own begins as a copy of it.
    """
    edits = taken(session, weekend, fit)
    if edits is None:
        return ()
    try:
        return (*_of_project(session, edits[0]), *_of_shop(session, edits[1]))
    except InputError:  # it would be refused when carried out, too
        return ()


def _of_project(session: Session, edit: Edit) -> Iterator[LineChange]:
    before = read_project_text(session.folder)
    after = edit(session.project)
    if after != session.project:
        text = project_text(after, before, session.folder.name)
        yield from _between(before, text, session.folder / PROJECT_FILE)


def _of_shop(session: Session, edit: ShopEdit) -> Iterator[LineChange]:
    path = find_shop(session.folder)
    shipped = path == resource(f"shop/{SHOP_FILE}")
    target = user_shop() if shipped else path
    before = read_text(path, SHOP_FILE)
    text = shop_text(edit(session.shop), before, target.parent)
    yield from _between(before, text, target, path if shipped else None)


def _between(
    before: str, after: str, file: Path, copied: Path | None = None
) -> Iterator[LineChange]:
    """Where two texts differ, line by line."""
    old, new = before.splitlines(), after.splitlines()
    steps = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
    for tag, start, end, at, until in steps:
        if tag != "equal":
            yield LineChange(
                file=file,
                copied=copied,
                line=start + 1,
                old=_told(old[start:end]),
                new=_told(new[at:until]),
            )


def _told(lines: Sequence[str]) -> tuple[str, ...]:
    """Without empty lines: they say nothing."""
    return tuple(line for line in lines if line.strip())
