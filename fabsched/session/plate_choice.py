"""Choosing a way to make a part: its files are written, and the project changes in one step."""

from fabsched.advise.plates.comparing import Comparison
from fabsched.advise.plates.making import Made
from fabsched.advise.plates.substituting import PLATES, beside
from fabsched.advise.plates.writing import part_files, write_files
from fabsched.model.project import Project
from fabsched.session.compare_request import part_named
from fabsched.session.edits import Edit
from fabsched.session.project_session import Session
from fabsched.session.wording import phrase

LABEL = "make-plates"
"""Name of the change, for undoing it."""


def choose(session: Session, comparison: Comparison, number: int, *, decided: bool = True) -> None:
    """Put a way to make a part into the project, beside printing it whole.

    Files of plates and pieces go into the project folder first; undoing leaves them there.

    Args:
        session: the open project.
        comparison: the ways.
        number: of the variant; it must not be the whole part, nor one that cannot be made.
        decided: whether it is settled; else the planner chooses between this and the whole part.

    Raises:
        InputError: the part is gone, or a file cannot be written.
        ValueError: the variant makes nothing.
    """
    made = comparison.variants[number].made
    if made is None:
        message = "this variant makes nothing"
        raise ValueError(message)
    part_named(session.project, comparison.part)
    write_files(session.folder, part_files(made))
    session.change(LABEL, chosen(comparison.part, made, decided=decided))


def chosen(ident: str, made: Made, *, decided: bool) -> Edit:
    """The edit that puts a way to make a part into a project.

    Args:
        ident: of the part.
        made: what takes its place.
        decided: whether it is settled.
    """
    names = (phrase("way-whole"), phrase("way-plates"))

    def edit(project: Project) -> Project:
        part = part_named(project, ident)
        return beside(project, part, made, names, PLATES if decided else "")

    return edit
