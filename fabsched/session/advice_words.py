"""Advice in sentences."""

from fabsched.advise.counsel import Advice
from fabsched.session.clock import duration
from fabsched.session.odds_words import points_text
from fabsched.session.wording import advice, share


def advice_text(told: Advice) -> str:
    """One piece of advice in a sentence, with its number."""
    facts = dict(told.facts)
    seconds = facts.pop("seconds", None)
    time = "" if seconds is None else duration(float(seconds))
    return advice(
        told.code, **facts, time=time, share=share(told.on_time), points=points_text(told.gain)
    )
