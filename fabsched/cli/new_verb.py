"""`fabsched new`: a project folder from part files."""

import json
from argparse import Namespace
from datetime import datetime
from zoneinfo import ZoneInfo

from fabsched.cli.documents import project_document
from fabsched.files.toml_read import Zone
from fabsched.model.errors import Fault, InputError
from fabsched.session.clock import parse_moment
from fabsched.session.project_session import Session
from fabsched.session.wording import phrase
from fabsched.session.zones import own_zone


def new(arguments: Namespace, now: datetime) -> None:
    """Make the project and say so.

    Args:
        arguments: the command line.
        now: the present moment, zone-aware.

    Raises:
        InputError: the folder is not empty, the deadline has passed or a file is no part.
    """
    zone = _zone(arguments.zone)
    session = Session.create(
        arguments.folder,
        name=arguments.name,
        zone=zone,
        deadline=parse_moment(arguments.deadline, zone, "--deadline"),
        files=arguments.files,
        now=now,
    )
    if arguments.json:
        print(json.dumps(project_document(arguments.folder, session.project), indent=2))  # noqa: T201 - the output
    else:
        count = len(session.project.parts)
        print(phrase("started", folder=str(arguments.folder), count=count))  # noqa: T201 - the output


def _zone(text: str | None) -> ZoneInfo:
    """The zone that was asked for, else that of this computer."""
    if text is not None:
        return Zone().read(text, "--zone")
    zone = own_zone()
    if zone is None:
        raise InputError(Fault.FIELD_MISSING, "--zone", example="--zone Europe/Berlin")
    return zone
