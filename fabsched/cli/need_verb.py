"""`fabsched need`: have a part, work or gate always made, or leave it to the planner."""

import json
from argparse import Namespace

from fabsched.session.bench import Bench
from fabsched.session.need_edits import set_need
from fabsched.session.wording import phrase


def need(arguments: Namespace) -> None:
    """Put it into `project.toml`, and print what holds now.

    Raises:
        InputError: the project is at fault, or there is no such item.
    """
    bench = Bench.open(arguments.project)
    found = set_need(bench, arguments.item, needed=arguments.always)
    if arguments.json:
        document = {"item": found.id, "what": found.name, "always": found.needed}
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
        return
    print(phrase("need-always" if found.needed else "need-free", what=found.name))  # noqa: T201 - the output
