"""Learning from the log of an open project."""

from collections.abc import Sequence
from datetime import datetime

from fabsched.model.log import Entry
from fabsched.session.project_session import Session


def learn_from(session: Session, entries: Sequence[Entry], now: datetime) -> int:
    """Take in what the project's log says now; see `Experiences.learn_from`.

    Args:
        session: the open project; its estimates follow.
        entries: all entries of its log.
        now: the present moment, zone-aware.

    Returns:
        How much has changed.

    Raises:
        InputError: what was learnt cannot be written; then nothing has changed.
    """
    changed = session.experiences.learn_from(
        entries,
        project=session.project,
        shop=session.shop,
        computed=session.computed,
        now_s=int(now.timestamp()),
    )
    if changed:
        session.relearn()
    return changed
