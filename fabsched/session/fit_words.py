"""Changes that would make a weekend fit, in sentences."""

from zoneinfo import ZoneInfo

from fabsched.advise.fits import Fit, Lever, Obstacle
from fabsched.model.weekend import Weekend
from fabsched.session.clock import duration, long
from fabsched.session.wording import barrier, phrase, share
from fabsched.session.wording import fit as deed


def fit_text(weekend: Weekend, fit: Fit) -> str:
    """One change, and how many weekends are done in time with it."""
    return phrase("fit-line", deed=deed_text(weekend, fit), share=share(fit.on_time))


def deed_text(weekend: Weekend, fit: Fit) -> str:
    """What is changed; of a set, all of it."""
    if fit.code is Lever.SET:
        return deed(fit.code, deeds="; ".join(deed_text(weekend, part) for part in fit.parts))
    zone = ZoneInfo(weekend.zone)
    start, end = (long(s, zone, weekend.begin_s) if s else "" for s in (fit.from_s, fit.until_s))
    count, total = fit.copies
    return deed(
        fit.code,
        what=fit.name,
        time=duration(fit.size_s),
        start=start,
        end=end,
        count=count,
        total=total,
    )


def obstacle_text(obstacle: Obstacle) -> str:
    """What alone takes longer than there is time."""
    takes, left = duration(obstacle.takes_s), duration(obstacle.left_s)
    return barrier(obstacle.code, what=obstacle.name, takes=takes, left=left)
