"""`fabsched gate`: have a gate always carried out, or leave it to the planner."""

import json
from argparse import Namespace

from fabsched.session.bench import Bench
from fabsched.session.gate_edits import set_need
from fabsched.session.wording import phrase


def gate(arguments: Namespace) -> None:
    """Put it into `project.toml`, and print what holds now.

    Raises:
        InputError: the project is at fault, or there is no such gate.
    """
    bench = Bench.open(arguments.project)
    found = set_need(bench, arguments.gate, needed=arguments.always)
    if arguments.json:
        document = {"gate": found.id, "what": found.name, "always": found.needed}
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
        return
    print(phrase("gate-always" if found.needed else "gate-free", what=found.name))  # noqa: T201 - the output
