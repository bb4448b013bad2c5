"""Learning from the log of an open project."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from fabsched.files.log_home import Home
from fabsched.model.estimates import Estimate
from fabsched.model.log import Entry, Meant, Sort
from fabsched.session.project_session import Session

Book = Mapping[str, Mapping[str, Estimate]]
"""Estimates of one copy, by part id and machine id."""


def learn_from(
    session: Session, entries: Sequence[Entry], now: datetime, home: Home | None = None
) -> int:
    """Take in what the project's log says now; see `Experiences.learn_from`.

    Args:
        session: the open project; its estimates follow.
        entries: all entries of its log.
        now: the present moment, zone-aware.
        home: whose log it is; None for one that is no copy.

    Returns:
        How much has changed.

    Raises:
        InputError: what was learnt cannot be written; then nothing has changed.
    """
    changed = session.experiences.learn_from(
        entries,
        home=home,
        project=session.project,
        shop=session.shop,
        computed=session.computed,
        now_s=int(now.timestamp()),
    )
    return _followed(session, changed)


def unlearn(session: Session, name: str) -> int:
    """Let what was learnt of something no longer count; estimates and plans follow.

    Args:
        session: the open project; what was learnt is that of all projects.
        name: see `Experiences.unlearn`.

    Returns:
        How much that was.

    Raises:
        InputError: what was learnt cannot be written; then nothing has changed.
    """
    return _followed(session, session.experiences.unlearn(name))


def learn_again(session: Session, name: str) -> int:
    """Take `unlearn` back. Arguments, result and errors are as there."""
    return _followed(session, session.experiences.relearn(name))


def _followed(session: Session, changed: int) -> int:
    if changed:
        session.relearn()
    return changed


def as_computed(
    session: Session, meant: Iterable[tuple[str, Meant]]
) -> tuple[tuple[str, Meant], ...]:
    """What activities mean, with what was computed for each run before anything learnt was put to it.

    Work comes with the range it was foretold.

    Only as long as nothing more is learnt can one tell how much of a time was learnt: later the
    same run would seem to have been computed shorter, and to teach the same lesson again.

    Args:
        session: the open project, as the times were made from it.
        meant: by activity.
    """
    computed, taught = session.computed, session.estimates
    return tuple(
        (ident, _as_foretold(_as_computed(one, computed, taught), session)) for ident, one in meant
    )


def _as_foretold(one: Meant, session: Session) -> Meant:
    """Work with the range the odds took it to have, what was known of the maker included."""
    if one.sort not in {Sort.WORK, Sort.GATE} or one.seconds is None:
        return one
    return replace(one, foretold=session.experiences.knowledge.works.foretold(one.seconds))


def _as_computed(one: Meant, computed: Book, taught: Book) -> Meant:
    if one.sort not in {Sort.RUN, Sort.ATTENDED} or one.seconds is None:
        return one
    from fabsched.estimate.learnt import load_of, load_s  # noqa: PLC0415 - needs arrays

    plain, now = (load_of(book, one.items, one.machine) for book in (computed, taught))
    share = load_s(plain) / load_s(now) if plain and now else 0.0
    return replace(one, computed_s=one.seconds.likely * share)
