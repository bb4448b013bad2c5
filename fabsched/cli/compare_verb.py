"""`fabsched compare`: print a part whole, or cut plates out of it and print the rest."""

import json
from argparse import Namespace
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from fabsched.advise.plates.comparing import Comparison
from fabsched.advise.plates.joinery import Press
from fabsched.advise.plates.variants import Variant
from fabsched.advise.plates.writing import files_of
from fabsched.cli.compare_document import compare_document
from fabsched.cli.compare_remarks import name_of
from fabsched.cli.compare_text import Telling
from fabsched.cli.planning import estimate_all, moment_of, tell
from fabsched.cli.progress import run_here
from fabsched.cli.surroundings import Surroundings
from fabsched.files.folder_out import write_files
from fabsched.model.errors import Fault, InputError
from fabsched.session.bench import Bench
from fabsched.session.checks import check_deadline
from fabsched.session.compare_request import CompareRequest, compare_request, part_named
from fabsched.session.measures import measures_of, told
from fabsched.session.project_session import Session
from fabsched.session.ways import take
from fabsched.session.ways_making import shown_way
from fabsched.session.wording import phrase


def compare(arguments: Namespace, surroundings: Surroundings) -> bool:
    """Compare the ways to make a part, print them side by side as they come, and write files of one.

    Returns:
        Whether the best way has a chance to be done in time.

    Raises:
        InputError: a file is at fault, there is no such part or plate, the project cannot be
            carried out, or a file cannot be written.
        WorkerLost: a worker process died.
    """
    joinery, press = measures_of(arguments.set)
    session = Bench.open(arguments.project)
    part = part_named(session.project, arguments.part)
    now = moment_of(arguments.now, session, surroundings)
    check_deadline(session.project.deadline, now)
    estimate_all(session)
    request = compare_request(session, part.id, now, arguments.seed)
    also = tuple(number - 1 for number in arguments.plates or ())
    telling = Telling(session.shop.currency)
    comparison = _compared(
        replace(request, joinery=joinery, press=press, also=also),
        (lambda _: None) if arguments.json else telling.hear,
    )
    written = _written(comparison, arguments.write, arguments.plates, part.file)
    taken = _taken(session, comparison, arguments, press)
    if arguments.json:
        document = compare_document(session, comparison, written)
        document |= {"measures": told(joinery, press), "taken": taken}
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
    else:
        telling.end(comparison, press.force_n)
        if taken is not None:
            way = name_of(tuple(number - 1 for number in taken))
            tell(phrase("way-open" if arguments.leave else "way-taken", way=way))
        if written:
            tell(phrase("exported", count=len(written), folder=str(arguments.write)))
    return comparison.variants[comparison.verdict.best].on_time > 0.0


def _compared(request: CompareRequest, found: Callable[[object], None]) -> Comparison:
    """Compare, in this process: another would have to load everything first."""
    (done,) = run_here([request], found)
    return done.comparison


def _taken(
    session: Session, comparison: Comparison, arguments: Namespace, press: Press
) -> list[int] | None:
    """Put a way into the project, if that is asked for.

    Returns:
        Numbers of the plates that are cut now, none for the whole part; None if nothing was asked.

    Raises:
        InputError: the way cannot be made, or the project not be saved.
    """
    if not (arguments.take or arguments.leave or arguments.whole):
        return None
    way = comparison.variants[0]
    if not arguments.whole:
        way = _chosen(comparison, arguments.plates)
        if not way.pick:
            raise _whole_only(comparison, comparison.part)
    take(session, comparison.part, shown_way(way, press.force_n), decided=not arguments.leave)
    return [number + 1 for number in way.pick]


def _written(
    comparison: Comparison, target: Path | None, plates: Sequence[int] | None, where: str
) -> tuple[Path, ...]:
    """Write the files of one way, if that is asked for."""
    if target is None:
        return ()
    chosen = _chosen(comparison, plates)
    if chosen.hindered is not None:
        raise chosen.hindered
    if chosen.split is None or chosen.made is None:
        raise _whole_only(comparison, where)
    return write_files(target, files_of(chosen.split, chosen.made))


def _whole_only(comparison: Comparison, where: str) -> InputError:
    """Why nothing can be cut out of it."""
    closed = comparison.found.closed
    return InputError(Fault.NO_PLATES if closed else Fault.PLATES_NEED_CLOSED, where)


def _chosen(comparison: Comparison, plates: Sequence[int] | None) -> Variant:
    """The variant with the plates asked for; else the best, or the one with all plates."""
    if plates is None:
        return comparison.parted
    wanted = tuple(sorted({number - 1 for number in plates}))
    return next(each for each in comparison.variants if tuple(sorted(each.pick)) == wanted)
