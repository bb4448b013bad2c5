"""`fabsched need`: what is always made or left to the planner, and what may be done early."""

import json
from argparse import Namespace

from fabsched.model.project import Work
from fabsched.session.bench import Bench
from fabsched.session.need_edits import set_early, set_need
from fabsched.session.wording import phrase


def need(arguments: Namespace) -> None:
    """Put it into `project.toml`, and print what holds now.

    Raises:
        InputError: the project is at fault, or there is no such item.
    """
    bench = Bench.open(arguments.project)
    if arguments.early is not None:
        _tell_early(set_early(bench, arguments.item, early=arguments.early), arguments)
        return
    found = set_need(bench, arguments.item, needed=arguments.always)
    if arguments.json:
        document = {"item": found.id, "what": found.name, "always": found.needed}
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
        return
    print(phrase("need-always" if found.needed else "need-free", what=found.name))  # noqa: T201 - the output


def _tell_early(found: Work, arguments: Namespace) -> None:
    """Print from when a work may be done now."""
    if arguments.json:
        document = {"item": found.id, "what": found.name, "early": found.early}
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
        return
    print(phrase("need-early" if found.early else "need-not-early", what=found.name))  # noqa: T201 - the output
