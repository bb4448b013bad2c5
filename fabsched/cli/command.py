"""The command line as a whole: from arguments to an exit code."""

import errno
import json
import os
import sys
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import dataclass

from fabsched.cli.apology import apology
from fabsched.cli.arguments import UsageError, parse
from fabsched.cli.surroundings import Surroundings
from fabsched.cli.tongue import said, tr
from fabsched.model.errors import Cancelled, Fault, InputError, WorkerLost
from fabsched.session.language import ENGLISH, use
from fabsched.session.noticed import say
from fabsched.session.wording import phrase

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
        The exit code. Whatever goes wrong has been said on stderr in one line and, where a document
        was asked for, in a document.
    """
    _make_printable()
    if "--json" in argv:
        use(ENGLISH)  # documents are read by programs: the same in every language
    try:
        return _carried_out(argv, surroundings)
    except BrokenPipeError:
        return _output_gone(DONE)  # whoever read it has heard enough
    except (KeyboardInterrupt, Exception) as error:  # noqa: BLE001 - the edge of the program
        return _ended(error, as_json="--json" in argv)


def _ended(error: BaseException, *, as_json: bool = False) -> int:
    """Say how the program ends, even if nobody listens."""
    end = _end_of(error)
    document = {"error": {"code": end.code, "where": end.where, "text": end.text}}
    try:
        print(end.text, file=sys.stderr)  # noqa: T201 - this is what stderr is for
        if as_json:
            print(json.dumps(document, indent=2), flush=True)  # noqa: T201 - the output
    except OSError:
        _output_gone(end.exit)
    return end.exit


@dataclass(frozen=True, slots=True)
class _End:
    """How the program ends if something goes wrong.

    Attributes:
        exit: exit code.
        code: what is wrong.
        text: the same in a sentence.
        where: the file or field at fault, or None.
    """

    exit: int
    code: str
    text: str
    where: str | None = None


def _end_of(error: BaseException) -> _End:
    """What is said of an error; a traceback goes to the log, never to people."""
    match error:
        case UsageError():
            return _End(AT_FAULT, "usage", said(str(error)))
        case InputError():
            return _End(AT_FAULT, str(error.code), say(error), error.where)
        case OSError(errno=errno.ENOSPC, filename=None):
            return _full(error)
        case KeyboardInterrupt() | Cancelled():
            return _End(STOPPED, "stopped", phrase("stopped"))
        case WorkerLost():
            return _End(BUG, "lost", phrase("lost"))
        case _:
            return _End(BUG, "bug", apology(error))


def _full(error: OSError) -> _End:
    """What is said when there is no room for the output."""
    _output_gone(AT_FAULT)
    why = error.strerror or type(error).__name__
    return _end_of(InputError(Fault.FILE_UNWRITABLE, tr("standard output"), why=why))


def _carried_out(argv: Sequence[str], surroundings: Surroundings) -> int:
    try:
        code = _verb(parse(argv), surroundings)
    except SystemExit:  # help or the version has been printed
        code = DONE
    sys.stdout.flush()
    return code


PLANNING = frozenset({"plan", "odds", "export", "replan", "compare"})
"""Verbs that plan: they say whether the deadline is met."""


def _verb(arguments: Namespace, surroundings: Surroundings) -> int:
    """Run a verb; what only one of them needs is imported only for that one."""
    if arguments.verb in PLANNING:
        return DONE if _in_time(arguments, surroundings) else TOO_LATE
    match arguments.verb:
        case "estimate":
            from fabsched.cli.estimate_verb import estimate  # noqa: PLC0415 - see above

            return AT_FAULT if estimate(arguments) else DONE
        case "new":
            from fabsched.cli.new_verb import new  # noqa: PLC0415 - see above

            return DONE if new(arguments, surroundings.clock()) else AT_FAULT
        case "testcut":
            from fabsched.cli.testcut_verb import testcut  # noqa: PLC0415 - see above

            testcut(arguments, surroundings.clock())
        case "coupon":
            from fabsched.cli.coupon_verb import coupon  # noqa: PLC0415 - see above

            coupon(arguments, surroundings.clock())
        case "need":
            from fabsched.cli.need_verb import need  # noqa: PLC0415 - see above

            need(arguments)
        case "missing":
            from fabsched.cli.missing_verb import missing  # noqa: PLC0415 - see above

            return DONE if missing(arguments, surroundings) else AT_FAULT
        case "log":
            from fabsched.cli.log_verb import log  # noqa: PLC0415 - see above

            log(arguments, surroundings)
        case _:
            return surroundings.window(arguments.open)
    return DONE


def _in_time(arguments: Namespace, surroundings: Surroundings) -> bool:
    """Run a verb that plans; returns whether the deadline is met."""
    match arguments.verb:
        case "plan":
            from fabsched.cli.plan_verb import plan as verb  # noqa: PLC0415 - see above
        case "odds":
            from fabsched.cli.odds_verb import odds as verb  # noqa: PLC0415 - see above
        case "export":
            from fabsched.cli.export_verb import export as verb  # noqa: PLC0415 - see above
        case "replan":
            from fabsched.cli.replan_verb import replan as verb  # noqa: PLC0415 - see above
        case _:
            from fabsched.cli.compare_verb import compare as verb  # noqa: PLC0415 - see above
    return verb(arguments, surroundings)


def _make_printable() -> None:
    """Let a terminal of few letters show a question mark instead of failing, and a closed one nothing."""
    sys.stdout = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123 - for good
    sys.stderr = sys.stderr or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123 - for good
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _output_gone(code: int) -> int:
    """Let whatever is still to be written vanish: nobody reads it, or there is no room for it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return code
