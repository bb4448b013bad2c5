"""What plates, pieces and the work on them are called in a project."""

import pytest

from fabsched.advise.plates.compare_input import PartNames
from fabsched.session import language
from fabsched.session.comparing import part_names


@pytest.mark.parametrize(
    ("code", "texts"),
    [
        (
            "en",
            (
                "Lid {a}, plate 2",
                "Lid {a}, piece 2",
                "Lid {a}: peel and clean the plates",
                "Lid {a}: fit plates and pieces together",
            ),
        ),
        (
            "de",
            (
                "Lid {a}, Platte 2",
                "Lid {a}, St\u00fcck 2",
                "Lid {a}: Platten abziehen und s\u00e4ubern",
                "Lid {a}: Platten und St\u00fccke zusammensetzen",
            ),
        ),
    ],
)
def test_they_are_named_in_the_language_spoken(
    monkeypatch: pytest.MonkeyPatch, code: str, texts: tuple[str, ...]
) -> None:
    """The name of the part stands in them as it is, braces and all."""
    monkeypatch.setenv(language.VARIABLE, code)
    names = part_names()
    templates = (names.plate, names.piece, names.clean, names.fit)
    assert tuple(each.format(part="Lid {a}", number=2) for each in templates) == texts
    assert code != "en" or names == PartNames(), "what is named without being told is English"
