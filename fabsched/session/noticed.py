"""Errors and findings as sentences."""

from fabsched.model.errors import InputError
from fabsched.model.findings import Finding
from fabsched.session.fault_facts import told_facts
from fabsched.session.wording import filled


def say(noticed: InputError | Finding) -> str:
    """An error or a finding in one line: the file or field, a colon, and what is to be said.

    >>> from fabsched.model.errors import Fault
    >>> say(InputError(Fault.FILE_EMPTY, "parts/lid.stl"))
    'parts/lid.stl: the file is empty; export it again'
    """
    return " ".join(f"{noticed.where}: {text_of(noticed)}".split())


def text_of(noticed: InputError | Finding) -> str:
    """What `say` says, without the file or field."""
    section = "fault" if isinstance(noticed, InputError) else "remark"
    return filled(section, noticed.code, told_facts(noticed.facts))
