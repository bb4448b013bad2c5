"""The command line in German: help, headings and what is wrong with a call; documents stay as they are."""

import json
import re
from pathlib import Path

import pytest

from fabsched.cli.arguments import UsageError, parse
from fabsched.cli.tongue import said, tables, tr
from fabsched.session import language
from tests.cli.cli_texts import templates, texts
from tests.cli.made import Started, square

OTHERS = [code for code in language.KNOWN if code != language.ENGLISH]
GAPS = re.compile(r"\{\w+\}")
VERBS = (
    "estimate",
    "new",
    "plan",
    "odds",
    "export",
    "compare",
    "coupon",
    "missing",
    "log",
    "replan",
)


@pytest.fixture
def german(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal whose user speaks German."""
    monkeypatch.delenv(language.VARIABLE, raising=False)
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")


@pytest.mark.parametrize("code", OTHERS)
def test_every_text_is_translated(code: str) -> None:
    """Help, headings and sentences about calls have their lines, none is left over, gaps are kept."""
    wanted = {"texts": texts(), "templates": templates()}
    for table, entries in wanted.items():
        known = tables(code)[table]
        assert not {text: place for text, place in entries.items() if text not in known}
        assert not set(known) - set(entries)
        for text, shown in known.items():
            assert sorted(GAPS.findall(text)) == sorted(GAPS.findall(shown)), text


@pytest.mark.usefixtures("german")
@pytest.mark.parametrize("verb", ["", *VERBS, "testcut", "testcut out", "testcut enter"])
def test_help_is_german(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    """No line of help is English; verbs and options are what they are in every language."""
    with pytest.raises(SystemExit):
        parse([*verb.split(), "--help"])
    shown = " ".join(capsys.readouterr().out.split())
    assert shown.startswith("Aufruf: fabsched")
    same = {text for text in texts() if tr(text) == text}
    for text in texts().keys() - same:
        words = [word for word in text.split() if word.isalpha()]
        if len(words) > 3:
            assert text not in shown, text


@pytest.mark.usefixtures("german")
def test_headings_are_german(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A table's first line has no English word of ours."""
    file = square(tmp_path / "base.svg")
    assert Started().run("estimate", str(file), "--thickness", "3") == 0
    head = capsys.readouterr().out.splitlines()[:3]
    assert any("Größe mm" in line and "Maschine" in line for line in head), head
    words = set(" ".join(head).split())
    assert not words & {"part", "route", "machine", "time", "mass", "cost", "size", "mostly"}


@pytest.mark.usefixtures("german")
@pytest.mark.parametrize(
    ("call", "shown"),
    [
        ("estimate", "fabsched estimate: es fehlt: FILE; siehe fabsched estimate --help"),
        (
            "plan . --seed x",
            "fabsched plan: Angabe --seed: 'x' ist keine ganze Zahl von 0 an; siehe fabsched plan --help",
        ),
        ("nonsense", "'nonsense' ist unbekannt; nimm eines von estimate"),
        (
            "plan . --seed",
            "fabsched plan: Angabe --seed: ein Wert fehlt; siehe fabsched plan --help",
        ),
        ("plan . --what", "fabsched: unbekannte Angaben: --what; siehe fabsched --help"),
        ("log . finish", "fabsched log: finish braucht einen BLOCK; siehe fabsched log --help"),
    ],
)
def test_what_is_wrong_with_a_call_is_said_in_german(
    call: str, shown: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line, with what was written inside it as it was."""
    assert Started().run(*call.split()) == 2
    assert shown in capsys.readouterr().err


@pytest.mark.usefixtures("german")
def test_documents_are_the_same_in_every_language(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """With --json nothing is translated, not even what is wrong."""
    monkeypatch.setenv(language.VARIABLE, "de")  # put back afterwards, whatever the run sets
    assert Started().run("plan", ".", "--seed", "x", "--json") == 2
    document = json.loads(capsys.readouterr().out)
    assert document["error"]["text"].endswith("see fabsched plan --help")


def test_english_is_what_stands_in_the_code() -> None:
    """Without another language nothing is looked up."""
    with pytest.raises(UsageError) as refused:
        parse(["estimate"])
    assert said(str(refused.value)) == str(refused.value)
    assert tr("machine") == "machine"
