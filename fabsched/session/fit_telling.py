"""Changes that would make a weekend fit, carried out where the log has to tell a part of them."""

from datetime import datetime

from fabsched.advise.fits import OF_LOG, Fit
from fabsched.model.weekend import Weekend
from fabsched.session.bench import Bench
from fabsched.session.edits import TAKE_ADVICE
from fabsched.session.fit_taking import taken
from fabsched.session.sayings import Saying, Verb


def carry_out(bench: Bench, weekend: Weekend, fit: Fit, now: datetime) -> bool:
    """Carry a change out; one undo takes it back.

    Args:
        bench: the open project with its log, which is told when something comes now.
        weekend: what was planned.
        fit: the change.
        now: the present moment.

    Returns:
        False if nothing can be changed for it; then nothing is.

    Raises:
        InputError: the project, the shop or the log cannot be written.
    """
    edits = taken(bench, weekend, fit)
    if edits is None:
        return False
    now_s = int(now.timestamp())
    sayings = [
        Saying(verb=Verb.DELAY, block=each.subject, at_s=now_s, now_s=now_s, until_s=each.from_s)
        for each in fit.each
        if each.code in OF_LOG
    ]
    bench.tell_and_change(TAKE_ADVICE, sayings, *edits)
    return True
