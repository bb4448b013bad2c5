"""`fabsched new`: a project folder from part files."""

import json
import shlex
import sys
from argparse import Namespace
from datetime import datetime
from zoneinfo import ZoneInfo

from fabsched.cli.documents import project_document, rejected_document
from fabsched.cli.tongue import tr
from fabsched.files.toml_read import Zone
from fabsched.model.errors import Fault, InputError
from fabsched.session.checks import check_deadline, check_empty
from fabsched.session.clock import parse_moment
from fabsched.session.noticed import say
from fabsched.session.project_session import Session
from fabsched.session.unusable import looked_at
from fabsched.session.wording import phrase
from fabsched.session.zones import own_zone


def new(arguments: Namespace, now: datetime) -> bool:
    """Make the project and say so, or say which files are in the way.

    Args:
        arguments: the command line.
        now: the present moment, zone-aware.

    Returns:
        Whether the project was made.

    Raises:
        InputError: the folder is not empty, or the deadline cannot be read or has passed.
    """
    zone = _zone(arguments.zone)
    deadline = parse_moment(arguments.deadline, zone, "--deadline")
    check_empty(arguments.folder)
    check_deadline(deadline, now)
    looked = looked_at(arguments.files)
    if looked.refused:
        refused = {str(path): error for path, error in looked.refused.items()}
        _refuse(refused, as_json=arguments.json)
        return False
    session = Session.create(
        arguments.folder,
        name=arguments.name,
        zone=zone,
        deadline=deadline,
        files=arguments.files,
        now=now,
    )
    _tell_made(arguments, session)
    for doubt in looked.doubts:
        print(say(doubt), file=sys.stderr)  # noqa: T201 - this is what stderr is for
    return True


def _refuse(refused: dict[str, InputError], *, as_json: bool) -> None:
    """Name every file that cannot be a part."""
    for error in refused.values():
        print(say(error), file=sys.stderr)  # noqa: T201 - this is what stderr is for
    if as_json:
        rejected = [rejected_document(file, error) for file, error in refused.items()]
        print(json.dumps({"rejected": rejected}, indent=2))  # noqa: T201 - the output


def _tell_made(arguments: Namespace, session: Session) -> None:
    if arguments.json:
        print(json.dumps(project_document(arguments.folder, session.project), indent=2))  # noqa: T201 - the output
        return
    count = len(session.project.parts)
    parts = (tr("{count} part") if count == 1 else tr("{count} parts")).format(count=count)
    print(phrase("started", folder=shlex.quote(str(arguments.folder)), parts=parts))  # noqa: T201 - the output


def _zone(text: str | None) -> ZoneInfo:
    """The zone that was asked for, else that of this computer."""
    if text is not None:
        return Zone().read(text, "--zone")
    zone = own_zone()
    if zone is None:
        raise InputError(Fault.FIELD_MISSING, "--zone", example="--zone Europe/Berlin")
    return zone
