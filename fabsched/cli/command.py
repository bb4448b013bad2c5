"""The command line as a whole: from arguments to an exit code."""

import os
import sys
from argparse import Namespace
from collections.abc import Sequence

from fabsched.cli.apology import apology
from fabsched.cli.arguments import UsageError, parse
from fabsched.cli.surroundings import Surroundings
from fabsched.model.errors import Cancelled, InputError, WorkerLost
from fabsched.session.wording import phrase, say

DONE, BUG, AT_FAULT, TOO_LATE = 0, 1, 2, 3
"""Exit codes."""

STOPPED = 130
"""What shells report for a program ended by Ctrl-C (128 + SIGINT)."""


def run(argv: Sequence[str], surroundings: Surroundings) -> int:
    """Carry out a command line.

    Args:
        argv: the arguments, without the program's name.
        surroundings: see there.

    Returns:
        The exit code. Whatever goes wrong has been said on stderr in one line.
    """
    try:
        return _carried_out(argv, surroundings)
    except UsageError as error:
        return _said(str(error), AT_FAULT)
    except InputError as error:
        return _said(say(error), AT_FAULT)
    except BrokenPipeError:
        return _reader_gone()
    except (KeyboardInterrupt, Exception) as error:  # noqa: BLE001 - the edge of the program
        return _ended(error)


def _ended(error: BaseException) -> int:
    """Say what ended the program; a traceback goes to the log, never to people."""
    if isinstance(error, KeyboardInterrupt | Cancelled):
        return _said(phrase("stopped"), STOPPED)
    if isinstance(error, WorkerLost):
        return _said(phrase("lost"), BUG)
    return _said(apology(error), BUG)


def _carried_out(argv: Sequence[str], surroundings: Surroundings) -> int:
    _make_printable()
    try:
        code = _verb(parse(argv), surroundings)
    except SystemExit:  # help or the version has been printed
        code = DONE
    sys.stdout.flush()
    return code


def _verb(arguments: Namespace, surroundings: Surroundings) -> int:
    """Run a verb; what only one of them needs is imported only for that one."""
    match arguments.verb:
        case "estimate":
            from fabsched.cli.estimate_verb import estimate  # noqa: PLC0415 - see above

            return AT_FAULT if estimate(arguments) else DONE
        case "new":
            from fabsched.cli.new_verb import new  # noqa: PLC0415 - see above

            new(arguments, surroundings.clock())
            return DONE
        case "plan":
            from fabsched.cli.plan_verb import plan  # noqa: PLC0415 - see above

            return DONE if plan(arguments, surroundings) else TOO_LATE
        case _:
            return surroundings.window(arguments.open)


def _make_printable() -> None:
    """Let a terminal of few letters show a question mark instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _said(text: str, code: int) -> int:
    print(text, file=sys.stderr)  # noqa: T201 - this is what stderr is for
    return code


def _reader_gone() -> int:
    """Whoever read our output has heard enough; nothing more can be written."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return DONE
