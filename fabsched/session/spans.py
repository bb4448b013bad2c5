"""Lengths of time as people write them: `1 h 20`, `90 min`, `1:30`, `1.5 h`, `2 days`."""

import re

from fabsched.model.units import DAY_S, HOUR_S, MINUTE_S

MINUTES = {
    "m": 1.0,
    "min": 1.0,
    "mins": 1.0,
    "minute": 1.0,
    "minutes": 1.0,
    "h": HOUR_S / MINUTE_S,
    "hr": HOUR_S / MINUTE_S,
    "hrs": HOUR_S / MINUTE_S,
    "hour": HOUR_S / MINUTE_S,
    "hours": HOUR_S / MINUTE_S,
    "d": DAY_S / MINUTE_S,
    "day": DAY_S / MINUTE_S,
    "days": DAY_S / MINUTE_S,
    "minuten": 1.0,
    "std": HOUR_S / MINUTE_S,
    "stunde": HOUR_S / MINUTE_S,
    "stunden": HOUR_S / MINUTE_S,
    "tag": DAY_S / MINUTE_S,
    "tage": DAY_S / MINUTE_S,
}
"""Minutes in each unit that is understood, in English and German."""

CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)")
BETWEEN = ("", "and", "und")
"""Words between pieces."""
PIECE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:([a-z]+)\.?)?")
PARTS = {"\u00bc": ".25", "\u00bd": ".5", "\u00be": ".75"}
"""Signs for parts of one, behind a whole number or alone."""
PART = re.compile(r"(\d*)\s*([\u00bc\u00bd\u00be])")
LONGEST = 1e9
"""Minutes; more than that is a slip of the finger (our own choice: 1900 years)."""


def minutes_of(text: str) -> float | None:
    """Minutes in a length of time; None where it cannot be read.

    A number without a unit counts minutes, after hours or days too.

    >>> [minutes_of(t) for t in ("90", "1 h 20", "1:30", "1.5h", "2 days", "1,5 h", "h")]
    [90.0, 80.0, 90.0, 90.0, 2880.0, 90.0, None]
    """
    plain = PART.sub(lambda found: (found[1] or "0") + PARTS[found[2]], text.strip().lower())
    if clock := CLOCK.fullmatch(plain):
        return 60.0 * int(clock[1]) + int(clock[2])
    total, end = 0.0, 0
    for piece in PIECE.finditer(plain):
        factor = MINUTES.get(piece[2] or "min")
        if factor is None or plain[end : piece.start()].strip(" ,+") not in BETWEEN:
            return None
        total += float(piece[1].replace(",", ".")) * factor
        end = piece.end()
    return total if end and total <= LONGEST and not plain[end:].strip() else None


def minutes_text(minutes: int) -> str:
    """Whole minutes as people write them; read back they are the same.

    >>> minutes_text(0), minutes_text(80), minutes_text(120)
    ('0 min', '1 h 20 min', '2 h')
    """
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
