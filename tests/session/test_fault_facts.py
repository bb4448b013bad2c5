"""Facts of faults in words: moments and lengths of time as people write them."""

import pytest

from fabsched.model.errors import Fact, Fault, InputError
from fabsched.session.noticed import text_of

FACTS: dict[str, Fact] = {
    "from_time": "2026-10-23T18:00+02:00",
    "to_time": "2026-11-06T20:00+01:00",
    "who": "Ada",
    "minutes": 20000,
}


def refusal(opens: str, frees: str = "") -> str:
    """What is said of hours that never meet."""
    facts = {**FACTS, "opens": opens, "frees": frees}
    return text_of(InputError(Fault.HOURS_NEVER_MEET, "project.toml", **facts))


def test_no_moment_is_told_for_machines() -> None:
    """Days by their names, lengths in hours; nothing is left of ISO 8601."""
    text = refusal("")
    assert "between Friday 23 October 2026 18:00 and Friday 6 November 2026 20:00" in text
    assert "333 h 20 min in one go); change" in text


def test_a_closed_place_is_named_with_its_hours() -> None:
    """What is open too short is told with when, what is closed as closed."""
    lab = "Lab|2026-10-24T10:00+02:00/2026-10-24T16:00+02:00|2026-10-24T22:00+02:00/2026-10-25T01:00+02:00"
    text = refusal(f"{lab}\nHall")
    assert (
        "; Lab is open Sat 24 Oct 10:00\u201316:00, Sat 24 Oct 22:00\u2013Sun 25 Oct 01:00;" in text
    )
    assert "; Hall is closed all that time; change" in text


def test_somebody_is_named_with_their_hours_and_pauses() -> None:
    """Lunch is seen between two of them; who is away is said to be."""
    day = "2026-10-24T"
    ada = f"Ada|{day}09:00+02:00/{day}12:30+02:00|{day}13:30+02:00/{day}18:00+02:00"
    text = refusal("", f"{ada}\nBo")
    assert "; Ada is free Sat 24 Oct 09:00\u201312:30, Sat 24 Oct 13:30\u201318:00;" in text
    assert "; Bo is not free all that time; change" in text


def test_it_is_said_in_german_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Names of days and months are those of the language."""
    monkeypatch.setenv("FABSCHED_LANGUAGE", "de")
    text = refusal("Labor")
    assert "Freitag" in text
    assert "Labor ist die ganze Zeit geschlossen" in text


def test_what_somebody_wrote_is_shown_as_it_was_written() -> None:
    """A moment without an offset was written by hand."""
    error = InputError(
        Fault.FIELD_MALFORMED, "x", value="2026-10-24T10", example="2026-10-25T20:00"
    )
    assert "2026-10-25T20:00" in text_of(error)
