"""Codes into sentences: every code has one, and every fact it asks for is given."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

import pytest

from fabsched.advise.counsel import Counsel
from fabsched.advise.fits import Barrier, Lever
from fabsched.advise.plates.contact_records import Glued, Join
from fabsched.advise.plates.slabs import Near
from fabsched.advise.plates.verdict import Says
from fabsched.model.errors import Fault, InputError
from fabsched.model.estimates import Route
from fabsched.model.findings import Finding, Remark
from fabsched.model.log import Cure, Event
from fabsched.model.plan import Doing, Kind, Reason, Why
from fabsched.model.weekend import Turn
from fabsched.schedule.changes import Otherwise
from fabsched.schedule.isolation import Alone
from fabsched.session.language import VARIABLE
from fabsched.session.noticed import say
from fabsched.session.wording import (
    SECTIONS,
    chance,
    filled,
    phrase,
    placeholders,
    pointed,
    share,
    sides_text,
    stage,
    templates,
    verdict,
    why,
)

CODES: dict[str, type[StrEnum]] = {
    "fault": Fault,
    "remark": Remark,
    "why": Why,
    "doing": Doing,
    "kind": Kind,
    "near": Near,
    "join": Join,
    "glued": Glued,
    "verdict": Says,
    "route": Route,
    "event": Event,
    "change": Otherwise,
    "remedy": Cure,
    "swap": Turn,
    "alone": Alone,
    "fit": Lever,
    "barrier": Barrier,
    "advice": Counsel,
}


@dataclass(frozen=True, slots=True)
class Use:
    """One place in the source where a code meets its facts.

    Attributes:
        place: file and line.
        section, code: of the template.
        facts: names of the facts given; None if they cannot be told from the source.
    """

    place: str
    section: str
    code: str
    facts: frozenset[str] | None


@pytest.mark.parametrize("section", CODES)
def test_every_code_has_its_template_and_every_template_its_code(section: str) -> None:
    """No code is without words, and no words are left over."""
    assert set(templates()[section]) == {str(code) for code in CODES[section]}


def test_the_sections_are_the_known_ones() -> None:
    """The file holds nothing that nobody reads."""
    assert set(templates()) == set(SECTIONS)


def test_every_template_can_be_filled() -> None:
    """Each one is a well-formed template of named facts, in one line."""
    for section, entries in templates().items():
        for code, text in entries.items():
            names = placeholders(text)
            assert text.format_map(dict.fromkeys(names, "x")), (section, code)
            assert all(name.isidentifier() for name in names), (section, code)
            assert "\n" not in text, (section, code)


def test_a_fault_says_what_to_do() -> None:
    """Behind the semicolon stands what helps, or the words ask for it."""
    assert all(";" in text for text in templates()["fault"].values())


@pytest.fixture(scope="module")
def calls(checkout: Path) -> list[tuple[str, ast.Call]]:
    """Every call in the source, with its file and line."""
    return [
        (f"{path.relative_to(checkout)}:{node.lineno}", node)
        for path in sorted((checkout / "fabsched").rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call)
    ]


def _uses(calls: list[tuple[str, ast.Call]]) -> Iterator[Use]:
    """Every call that joins a code with facts, as far as the source shows them."""
    for place, call in calls:
        if isinstance(call.func, ast.Name):
            yield from _of_call(place, call, call.func.id)


def _of_call(place: str, call: ast.Call, name: str) -> Iterator[Use]:
    given = {keyword.arg: keyword.value for keyword in call.keywords}
    match name:
        case "InputError" if call.args and isinstance(call.args[0], ast.Attribute):
            facts = None if None in given else frozenset(k for k in given if k)
            yield Use(place, "fault", call.args[0].attr, facts)
        case "Finding" if isinstance(given.get("code"), ast.Attribute):
            code = given["code"]
            assert isinstance(code, ast.Attribute)
            yield Use(place, "remark", code.attr, _keys(given.get("facts")))
        case "Reason" if call.args and isinstance(call.args[0], ast.Attribute):
            facts = _keys(call.args[1] if len(call.args) > 1 else None)
            yield Use(place, "why", call.args[0].attr, facts)
        case "phrase" if call.args and isinstance(call.args[0], ast.Constant):
            facts = None if None in given else frozenset(k for k in given if k)
            yield Use(place, "say", str(call.args[0].value), facts)
        case _:
            return


def _keys(node: ast.expr | None) -> frozenset[str] | None:
    """The keys of a dictionary written out; None for anything else."""
    if node is None:
        return frozenset()
    if not isinstance(node, ast.Dict):
        return None
    keys = [key.value if isinstance(key, ast.Constant) else None for key in node.keys]
    return None if None in keys else frozenset(str(key) for key in keys)


def test_every_fact_asked_for_is_given(calls: list[tuple[str, ast.Call]]) -> None:
    """Wherever the source shows a code with its facts, they cover the template's placeholders."""
    uses = [use for use in _uses(calls) if use.section == "say" or use.code.isupper()]
    short = []
    for use in uses:
        member = getattr(CODES.get(use.section), use.code, use.code)
        wanted = placeholders(templates()[use.section][str(member)])
        if use.facts is not None and not wanted <= use.facts:
            short.append((use.place, use.code, sorted(wanted - use.facts)))
    assert not short
    assert len([use for use in uses if use.facts is not None]) > 50


def test_every_stage_is_worded(calls: list[tuple[str, ast.Call]]) -> None:
    """Whatever a computation reports has its words."""
    reported = {
        str(call.args[1].value)
        for _, call in calls
        if isinstance(call.func, ast.Attribute)
        and call.func.attr == "report"
        and len(call.args) == 2
        and isinstance(call.args[1], ast.Constant)
    }
    assert reported <= set(templates()["stage"])
    assert "reading" in reported


def test_say_gives_place_and_one_line() -> None:
    """A line names the file or field, then what is wrong; line breaks in facts are flattened."""
    error = InputError(Fault.FIELD_MALFORMED, "project.toml: zone", value="a\nb", example="x")
    assert say(error) == "project.toml: zone: 'a b' cannot be read; write it like x"
    finding = Finding(code=Remark.WELDED, where="lid.stl", facts={"tolerance": 0.1 + 0.2})
    assert say(finding) == "lid.stl: corners closer than 0.3 mm were joined"


def test_a_missing_fact_hides_nothing() -> None:
    """Words whose fact is missing are still said."""
    assert "(what)" in why(Reason(Why.AFTER))
    assert stage("no-such-stage") == "no such stage"
    assert phrase("no-such-phrase", what="lid") == "no such phrase lid"


def test_braces_in_facts_are_text() -> None:
    """A file name with braces is no template."""
    error = InputError(Fault.FIELD_UNKNOWN, "{x}", nearest="{y}")
    assert say(error) == "{x}: no such field; did you mean '{y}'?"


@pytest.mark.parametrize(("lower", "upper"), [(0.0, 0.15), (0.15, 0.4), (0.4, 0.65), (0.85, 0.985)])
def test_a_better_chance_is_worded_otherwise(lower: float, upper: float) -> None:
    """Each step of the scale has its own words, from the step itself up to the next."""
    assert chance(lower) == chance((lower + upper) / 2) != chance(upper)


def test_shares_are_never_rounded_to_certainty() -> None:
    """Only a share of nothing is none, only a whole one is all."""
    assert share(1e-9) != share(0.0)
    assert share(1 - 1e-9) != share(1.0)
    assert share(0.005) == "1 in 100"


def test_figures_bear_the_decimal_sign_of_the_language(monkeypatch: pytest.MonkeyPatch) -> None:
    """German writes a comma between figures; ends of sentences and names stay."""
    text = "166.4 x 20 mm. Part v2.x, 3.5 g"
    assert pointed(text) == "166.4 \u00d7 20 mm. Part v2.x, 3.5 g"
    monkeypatch.setenv(VARIABLE, "de")
    assert pointed(text) == "166,4 \u00d7 20 mm. Part v2.x, 3,5 g"


def test_shares_bear_the_percent_sign_of_the_language(monkeypatch: pytest.MonkeyPatch) -> None:
    """German leaves a space before it (DIN 5008, from memory), in texts and in facts alike."""
    assert pointed("4 h (90%)") == "4 h (90%)"
    monkeypatch.setenv(VARIABLE, "de")
    assert pointed("4 h (90%)") == "4 h (90\u00a0%)"
    assert "12 % davon" in filled("near", "lattice", {"share": "12%", "web": 0.9})


def test_sizes_are_told_with_the_times_sign(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sizes among the facts of a fault become those of the language; names with an x in them stay."""
    facts = {"size": "10.5 x 20", "sheet": "9 x 400", "material": "plate 10.5 x 20"}
    assert filled("remark", "sheet-small", facts).startswith("10.5 \u00d7 20 mm is more")
    assert filled("say", "buy-filament", {"grams": 1, "material": "4 x 3.2 mm, 1 x 10 mm"}) == (
        "To buy before: 1 g of 4 \u00d7 3.2 mm, 1 \u00d7 10 mm."
    )
    assert filled("say", "buy-filament", {**facts, "grams": 1}).count("10.5 x 20") == 1
    monkeypatch.setenv(VARIABLE, "de")
    assert sides_text((10.5, 20.0)) == "10,5 \u00d7 20"
    assert filled("remark", "sheet-small", facts).startswith("10,5 \u00d7 20 mm sind")


@pytest.mark.parametrize("code", ["en", "de"])
def test_a_comparison_tells_chances_as_everything_does(
    code: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The verdict and the table above it say the same chance in the same words."""
    monkeypatch.setenv(VARIABLE, code)
    facts: dict[str, str | float] = {
        "plates": "1",
        "chance": 0.784,
        "other": 0.999,
        "lost": 1.0,
        "other_lost": 2.0,
    }
    for said in ("not-seen", "surer", "saves", "whole-surer", "whole-plain", "only"):
        text = verdict(said, facts)
        assert share(0.784) in text
        assert "%" not in text
