"""Changes that would make a weekend fit, in sentences."""

from zoneinfo import ZoneInfo

from fabsched.advise.fits import Fit
from fabsched.model.weekend import Weekend
from fabsched.session.clock import duration, long
from fabsched.session.wording import fit as deed
from fabsched.session.wording import phrase, share


def fit_text(weekend: Weekend, fit: Fit) -> str:
    """One change, and how many weekends are done in time with it."""
    return phrase("fit-line", deed=deed_text(weekend, fit), share=share(fit.on_time))


def deed_text(weekend: Weekend, fit: Fit) -> str:
    """What is changed."""
    zone = ZoneInfo(weekend.zone)
    start, end = (long(s, zone, weekend.begin_s) if s else "" for s in (fit.from_s, fit.until_s))
    return deed(fit.code, what=fit.name, time=duration(fit.size_s), start=start, end=end)
