"""Codes into sentences: the one place where they become words; see `noticed` for errors and findings.

Templates are in `resources/wording`, a file for each language; `{name}` stands for a fact of that
name.
"""

import re
import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from string import Formatter

from fabsched.files.resources import resource
from fabsched.model.errors import Fact, InputError
from fabsched.model.findings import Finding
from fabsched.model.plan import Reason
from fabsched.session.language import language
from fabsched.session.spans import minutes_text

SECTIONS = (
    "fault",
    "remark",
    "cure",
    "why",
    "doing",
    "setback",
    "near",
    "join",
    "glued",
    "loose",
    "adopting",
    "verdict",
    "kind",
    "route",
    "stage",
    "breakdown",
    "edit",
    "chance",
    "caution",
    "say",
    "event",
    "change",
    "remedy",
    "swap",
    "alone",
    "fit",
    "barrier",
    "decided",
    "advice",
    "day",
    "month",
)
"""The tables of the file."""
DECIMAL = re.compile(r"(?<=\d)\.(?=\d)")
"""A decimal point between figures."""
TIMES = re.compile(r"(?<=\d) x (?=\d)")
"""A plain letter for the times sign, as it is typed and kept in data."""
SIZE = re.compile(r"(\d+(\.\d+)?( x \d+(\.\d+)?)+( mm)?(, |$))+")
"""A size, or several, as facts have them."""
SHARE = re.compile(r"(?<=\d)%")
"""A percent sign behind a figure."""
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
"""Codes of the days; their first three letters are those of the short names."""


def templates() -> Mapping[str, Mapping[str, str]]:
    """All templates in the language of now, by section and code."""
    return templates_in(language())


@cache
def templates_in(code: str) -> Mapping[str, Mapping[str, str]]:
    """All templates in a language, by section and code.

    Args:
        code: one of `language.KNOWN`.
    """
    return tomllib.loads(resource(f"wording/{code}.toml").read_text("utf-8"))


def why(reason: Reason) -> str:
    """Why a block starts when it does; minutes are told in hours where there are many."""
    told = {k: minutes_text(int(v)) for k, v in reason.facts.items() if k == "minutes"}
    if reason.doing:
        told["doing"] = filled("doing", reason.doing, reason.facts)
    text = filled("why", reason.code, {**reason.facts, **told})
    return f"{text}; {why(reason.cause)}" if reason.cause else text


def setback(code: str, what: str) -> str:
    """What may go wrong.

    Args:
        code: what kind of setback.
        what: name of the activity it hits.
    """
    return filled("setback", code, {"what": what})


def cure(noticed: InputError | Finding) -> str:
    """What one step would put right, from the user's side."""
    return filled("cure", noticed.code, noticed.facts)


def stage(code: str) -> str:
    """What a long computation is doing."""
    return filled("stage", code, {})


def breakdown(code: str) -> str:
    """What a share of a machine's time is spent on."""
    return filled("breakdown", code, {})


def kind(code: str) -> str:
    """What a block of the timeline is."""
    return filled("kind", code, {})


def route(code: str) -> str:
    """How a part is made."""
    return filled("route", code, {})


def edit(label: str) -> str:
    """What a change of the project did."""
    return filled("edit", label, {})


def near(code: str, facts: Mapping[str, Fact]) -> str:
    """Why something flat is no plate."""
    return filled("near", code, facts)


def join(code: str) -> str:
    """How a piece is joined to a plate."""
    return filled("join", code, {})


def glued(code: str) -> str:
    """Why a piece is only glued to a plate."""
    return filled("glued", code, {})


def loose(code: str) -> str:
    """Why no deflection is told of a plate."""
    return filled("loose", code, {})


def adopting(code: str, facts: Mapping[str, Fact]) -> str:
    """What changes when something that is nearly a plate is made one."""
    return filled("adopting", code, facts)


def verdict(code: str, facts: Mapping[str, Fact]) -> str:
    """What a comparison of ways to make a part comes to; chances are told as everywhere."""
    told = {name: share(float(facts[name])) for name in ("chance", "other") if name in facts}
    return filled("verdict", code, {**facts, **told})


def caution(code: str) -> str:
    """A usual caution for work that can hurt someone."""
    return filled("caution", code, {})


def event(code: str, /, **facts: Fact) -> str:
    """What an entry of the log tells."""
    return filled("event", code, facts)


def change(code: str, /, **facts: Fact) -> str:
    """What a plan does otherwise than the one before."""
    return filled("change", code, facts)


def remedy(code: str, /, **facts: Fact) -> str:
    """A choice after a failure."""
    return filled("remedy", code, facts)


def swap(code: str, /, **facts: Fact) -> str:
    """What the planner decides, or what could be decided otherwise."""
    return filled("swap", code, facts)


def alone(code: str, /, **facts: Fact) -> str:
    """Why something is made on its own although it could share a bed."""
    return filled("alone", code, facts)


def advice(code: str, /, **facts: Fact) -> str:
    """What would win chance."""
    return filled("advice", code, facts)


def fit(code: str, /, **facts: Fact) -> str:
    """A change that would make a weekend fit."""
    return filled("fit", code, facts)


def barrier(code: str, /, **facts: Fact) -> str:
    """What alone takes longer than there is time."""
    return filled("barrier", code, facts)


def decided(code: str, /, **facts: Fact) -> str:
    """What was decided."""
    return filled("decided", code, facts)


def phrase(code: str, /, **facts: Fact) -> str:
    """Any other sentence of the program, from the section `[say]`."""
    return filled("say", code, facts)


def chance(on_time: float) -> str:
    """A chance of being done in time, in words.

    >>> chance(0.93), chance(0.0)
    ('you will very likely be done', 'you will hardly be done')
    """
    words = sorted(templates()["chance"].items(), key=lambda entry: -float(entry[0]))
    return next(text for least, text in words if on_time >= float(least))


def share(part: float) -> str:
    """A share out of a hundred; one that is neither none nor all is never rounded to that.

    >>> [share(p) for p in (0.0, 0.001, 0.634, 0.999, 1.0)]
    ['0 in 100', 'fewer than 1 in 100', '63 in 100', 'more than 99 in 100', '100 in 100']
    """
    if part in {0.0, 1.0}:
        return phrase("share", count=round(100 * part))
    if part < 0.005:
        return phrase("share-fewer")
    if part >= 0.995:
        return phrase("share-more")
    return phrase("share", count=max(1, round(100 * part)))


def day_name(weekday: int, *, short: bool = False) -> str:
    """Name of a day of the week.

    Args:
        weekday: 0 for Monday.
        short: whether it is told in few letters.

    >>> day_name(0), day_name(6, short=True)
    ('Monday', 'Sun')
    """
    return filled("day", WEEKDAYS[weekday][: 3 if short else None], {})


def month_name(month: int, *, short: bool = False) -> str:
    """Name of a month, 1 for January.

    >>> month_name(3), month_name(9, short=True)
    ('March', 'Sep')
    """
    return filled("month", str(month), {})[: 3 if short else None]


def pointed(text: str) -> str:
    """Figures in a text with the decimal sign of the language, shares with its percent sign.

    Sizes get the times sign.

    >>> pointed("166.4 x 20 mm")
    '166.4 \u00d7 20 mm'
    """
    sign = phrase("decimal-sign")
    text = TIMES.sub(" \u00d7 ", text)
    own = text if sign == "." else DECIMAL.sub(sign, text)
    return _shares(own)


def figure(value: float, digits: int | None = None) -> str:
    """A number with the decimal sign of the language.

    Args:
        value: the number.
        digits: so many behind the sign; None shows as many as are needed, six in all at most.

    >>> figure(2.5), figure(3.0), figure(0.456, 2)
    ('2.5', '3', '0.46')
    """
    return pointed(f"{value:g}" if digits is None else f"{value:.{digits}f}")


def sides_text(sides: Iterable[float], digits: int | None = None) -> str:
    """A size: its sides with times signs between, in the figures of the language.

    >>> sides_text((166.4, 20.0)), sides_text((2.0, 3.0), 1)
    ('166.4 \u00d7 20', '2.0 \u00d7 3.0')
    """
    return " \u00d7 ".join(figure(side, digits) for side in sides)


def numbers_text(numbers: Iterable[int]) -> str:
    """Numbers with commas between, three and more in a row as from and to.

    >>> numbers_text((1, 2)), numbers_text((1, 2, 3, 5)), numbers_text((2, 4, 5, 6))
    ('1, 2', '1-3, 5', '2, 4-6')
    """
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    texts = (f"{run[0]}-{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)
    return ", ".join(texts)


def placeholders(template: str) -> frozenset[str]:
    """Names of the facts a template asks for.

    >>> sorted(placeholders("{have} of {want}"))
    ['have', 'want']
    """
    return frozenset(name for _, name, _, _ in Formatter().parse(template) if name)


def money(amount: float, currency: str) -> str:
    """A price with its currency, where the language puts it.

    >>> money(0.534, "EUR")
    'EUR 0.53'
    """
    return phrase("money", amount=figure(amount, 2), currency=currency)


def filled(section: str, code: str, facts: Mapping[str, Fact]) -> str:
    """A template with its facts.

    A code without a template, or a fact that is missing, is a slip of ours that tests hold; here it
    must not hide what the user has to know, so that the code or name itself is shown.
    """
    template = templates().get(section, {}).get(code)
    if template is None:
        return " ".join([code.replace("-", " "), *(_shown(fact) for fact in facts.values())])
    shown = {name: f"({name})" for name in placeholders(template)}
    shown.update((name, _shown(fact)) for name, fact in facts.items())
    return " ".join(template.format_map(shown).split())


def _shown(fact: Fact) -> str:
    """A fact as people write it: numbers without needless digits, with the language's decimal sign.

    >>> _shown(0.30000000000000004), _shown(3.0), _shown("lid"), _shown("9.5 x 400")
    ('0.3', '3', 'lid', '9.5 \u00d7 400')
    """
    if isinstance(fact, float):
        return pointed(f"{fact:.6g}")
    if isinstance(fact, str) and SIZE.fullmatch(fact):
        return pointed(fact)
    return _shares(fact) if isinstance(fact, str) else str(fact)


def _shares(text: str) -> str:
    """A text with the language's percent sign, the space before it included."""
    return SHARE.sub(templates()["say"]["percent-sign"], text)
