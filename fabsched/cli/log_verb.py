"""`fabsched log`: tell what happened, or see what was told."""

import json
import shlex
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from fabsched.cli.arguments import ALONE, UsageError
from fabsched.cli.documents import Document
from fabsched.cli.judged_text import (
    judged_document,
    judged_on,
    learnt_by,
    learnt_document,
    print_learnt,
)
from fabsched.cli.log_documents import choice_name, log_document
from fabsched.cli.log_text import entry_text, print_log
from fabsched.cli.planning import estimate_here, tell
from fabsched.cli.progress import run_here
from fabsched.cli.surroundings import Surroundings
from fabsched.files.log_sqlite import LOG_FILE
from fabsched.model.errors import Fault, InputError
from fabsched.model.log import Cure, Entry, Remedy
from fabsched.session.asking_poses import pose_requests
from fabsched.session.bench import Bench
from fabsched.session.clock import parse_moment
from fabsched.session.log_requests import ReplanResponse
from fabsched.session.log_words import ends_unstarted, names_of
from fabsched.session.noticed import say
from fabsched.session.sayings import Saying, Verb
from fabsched.session.telling_checks import check_past
from fabsched.session.wording import phrase


def log(arguments: Namespace, surroundings: Surroundings) -> None:
    """Add to the log, take something back, or list it.

    Raises:
        InputError: what was said makes no sense, or the log cannot be read or written.
    """
    _check_said(arguments)
    bench = Bench.open(arguments.project)
    now = surroundings.clock()
    bench.log.refresh()
    told = _done(arguments, bench, now)
    bench.learn(now)
    for noticed in (*bench.log.findings, *bench.experiences.noticed):
        tell(say(noticed))
    if bench.lesson_error is not None and bench.lesson_error not in bench.experiences.noticed:
        tell(say(bench.lesson_error))
    _print(arguments, bench, told)


def _check_said(arguments: Namespace) -> None:
    """Refuse what names nothing, and a correction that corrects nothing."""
    if arguments.what and not arguments.block and arguments.what not in ALONE:
        raise UsageError(f"fabsched log: {arguments.what} needs a BLOCK; see fabsched log --help")
    named = (arguments.at, arguments.until, arguments.share, arguments.on, arguments.by)
    named = (*named, *arguments.helpers)
    if arguments.what == "correct" and all(x in (None, "") for x in (*named, arguments.why)):
        raise UsageError(
            "fabsched log: correct needs what was otherwise: --at, --until, --share, --on, --by, "
            "--with or --why; see fabsched log --help"
        )


def _done(arguments: Namespace, bench: Bench, now: datetime) -> tuple[Entry, ...] | None:
    """Carry out what was asked for; None if only the list was."""
    now_s = int(now.timestamp())
    match arguments.what:
        case None | "learnt":
            return None
        case "unlearn" | "relearn":
            _weigh(arguments, bench)
            return None
        case "undo":
            told = _some(bench.log.undo(now_s), Fault.NOTHING_TO_UNDO)
        case "redo":
            told = _some(bench.log.redo(now_s), Fault.NOTHING_TO_REDO)
        case "withdraw":
            told = (bench.withdraw(_number(arguments.block), now),)
        case "correct":
            told = (_corrected(arguments, bench, now),)
        case "choose":
            told = (_chosen(arguments, bench, now),)
        case verb:
            _learn_meanings(bench, now)
            told = (bench.tell(_saying(arguments, Verb(verb), bench, now)),)
    return told


def _weigh(arguments: Namespace, bench: Bench) -> None:
    """Let what was learnt of something no longer count, or count again.

    Raises:
        UsageError: there is nothing of that name.
    """
    name, off = arguments.block, arguments.what == "unlearn"
    count = bench.experiences.unlearn(name) if off else bench.experiences.relearn(name)
    if not count:
        raise UsageError(
            f"fabsched log: nothing to {arguments.what} of {name!r}; it takes the id of a machine, a "
            "material or a kind of work, faults or deliveries; see fabsched log PROJECT learnt"
        )


def _corrected(arguments: Namespace, bench: Bench, now: datetime) -> Entry:
    """Put an entry right; its moment stays unless another is named."""
    number = _number(arguments.block)
    saying = _saying(arguments, Verb.START, bench, now)
    was_s = {entry.id: entry.moment_s for entry in bench.log.entries}.get(number)
    if arguments.at is None and was_s is not None:
        saying = replace(saying, at_s=was_s)
    return bench.correct(number, saying)


def _some(entries: tuple[Entry, ...], fault: Fault) -> tuple[Entry, ...]:
    if not entries:
        raise InputError(fault, LOG_FILE)
    return entries


def _number(text: str) -> int:
    """The number of an entry."""
    if not text.isdecimal():
        raise InputError(Fault.NO_SUCH_ENTRY, LOG_FILE, number=text)
    return int(text)


def _learn_meanings(bench: Bench, now: datetime) -> None:
    """Lay the project out, if it has never been planned: what blocks mean must be written down."""
    if bench.knows_meanings():
        return
    estimate_here(bench)
    (meanings,) = run_here([bench.meanings_request(now)])
    bench.accept_meanings(meanings)


def _saying(arguments: Namespace, verb: Verb, bench: Bench, now: datetime) -> Saying:
    zone = bench.project.zone
    now_s = int(now.timestamp())
    at_s, until_s = (
        None if text is None else int(parse_moment(text, zone, where).timestamp())
        for text, where in ((arguments.at, "--at"), (arguments.until, "--until"))
    )
    return Saying(
        verb=verb,
        block=arguments.block,
        at_s=now_s if at_s is None else at_s,
        now_s=now_s,
        until_s=until_s,
        share=arguments.share,
        machine=arguments.on,
        person=arguments.by,
        helpers=tuple(arguments.helpers) or None,
        why=arguments.why,
        sure=arguments.sure,
    )


def _chosen(arguments: Namespace, bench: Bench, now: datetime) -> Entry:
    """Take the choice of that number, as `replan` listed it; told afterwards, as it was at that moment.

    Raises:
        InputError: there is none of that name, or nothing to choose, or it was at a moment to come.
    """
    at = parse_moment(arguments.at, bench.project.zone, "--at") if arguments.at else now
    check_past(int(at.timestamp()), int(now.timestamp()), bench.project.zone)
    estimate_here(bench)
    (found,) = run_here([bench.choices_request(at)])
    if not found.remedies:
        raise InputError(Fault.NOTHING_TO_CHOOSE, "log")
    remedies = (*found.remedies, *_poses(arguments, bench, at, found.remedies))
    names = {choice_name(remedy): remedy for remedy in remedies}
    if arguments.block not in names:
        facts = {"name": arguments.block, "what": remedies[0].subject, "known": ", ".join(names)}
        raise InputError(Fault.NO_SUCH_CHOICE, "log", **facts)
    return bench.choose(names[arguments.block], now, at)


def _poses(
    arguments: Namespace, bench: Bench, now: datetime, known: Sequence[Remedy]
) -> tuple[Remedy, ...]:
    """Other poses of what failed, where one is asked for: they have to be looked for first."""
    if not known or not arguments.block.startswith(f"{Cure.POSE}"):
        return ()
    (rest,) = run_here([bench.plan_request(now, quick=True)])
    found = run_here(pose_requests(bench, rest if isinstance(rest, ReplanResponse) else None))
    for response in found:
        bench.accept_poses(response)
    return tuple(option.remedy for response in found for option in response.options)


def _print(arguments: Namespace, bench: Bench, told: tuple[Entry, ...] | None) -> None:
    zone, names = bench.project.zone, names_of(bench.project, bench.shop)
    asked = arguments.what in {"learnt", "unlearn", "relearn"}
    if arguments.json:
        document: Document = log_document(bench.log.entries, told, zone, names)
        document |= _learnt(bench) if asked else {}
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
    elif asked:
        print_learnt(bench)
    elif told is None:
        print_log(bench.project.name, bench.log.entries, zone, names)
    else:
        back = "undo" if arguments.what in {"undo", "withdraw"} else ""
        for entry in told:
            print(entry_text(entry, zone, names, withdrawn=bool(back)))  # noqa: T201 - the output
            if ends_unstarted(entry, bench.log.state):
                tell(phrase("log-no-start"))
            elif arguments.what == "fail" and arguments.share is None and entry.share is not None:
                tell(phrase("log-share-clock", project=_quoted(arguments), number=entry.id))


def _quoted(arguments: Namespace) -> str:
    """The project as a shell takes it."""
    return shlex.quote(str(arguments.project))


def _learnt(bench: Bench) -> Document:
    """What the log has taught, and how right what was foretold has been."""
    return {
        "learnt": learnt_document(learnt_by(bench)),
        "calibration": judged_document(judged_on(bench)),
    }
