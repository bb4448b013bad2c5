"""The command line's own words in the user's language: help, headings, and what is wrong with a call.

They stand in the code in English, which is what is shown unless the wording table of the language has
another text for one. Verbs, options, names of fields and documents are the same in every language.
"""

import re
import tomllib
from argparse import Action, HelpFormatter, _ArgumentGroup
from collections.abc import Iterable, Mapping
from functools import cache

from fabsched.files.resources import resource
from fabsched.session.language import ENGLISH, language

GAP = re.compile(r"\\\{(\d)\\\}")
"""Where a template lets something in, once it has been escaped."""


@cache
def tables(code: str) -> Mapping[str, Mapping[str, str]]:
    """English text to the one shown, for a language other than English: whole texts and templates."""
    return tomllib.loads(resource(f"wording/cli.{code}.toml").read_text("utf-8"))


def tr(text: str) -> str:
    """A text in the language of now."""
    code = language()
    return text if code == ENGLISH else tables(code)["texts"].get(text, text)


def said(text: str) -> str:
    """What is wrong with a call, in the language of now.

    Templates let in what was written; what they let in may itself be made of templates.
    """
    code = language()
    if code == ENGLISH:
        return text
    for pattern, template in _templates(code):
        if (found := pattern.fullmatch(text)) is not None:
            return template.format(*(said(part) for part in found.groups()))
    return text


@cache
def _templates(code: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    """Patterns of English sentences, each with the template of another language."""
    return tuple(
        (re.compile(GAP.sub("(.+?)", re.escape(text))), shown)
        for text, shown in tables(code)["templates"].items()
    )


class Helper(HelpFormatter):
    """Lays help out in the language of now."""

    def start_section(self, heading: str | None) -> None:
        """Begin a section."""
        super().start_section(tr(heading) if heading else heading)

    def add_text(self, text: str | None) -> None:
        """Add a paragraph."""
        super().add_text(tr(text) if text else text)

    def add_usage(
        self,
        usage: str | None,
        actions: Iterable[Action],
        groups: Iterable[_ArgumentGroup],
        prefix: str | None = None,
    ) -> None:
        """Say how it is called."""
        super().add_usage(usage, actions, groups, tr("usage: ") if prefix is None else prefix)  # type: ignore[arg-type]  # as argparse calls it

    def _get_help_string(self, action: Action) -> str | None:
        return tr(action.help) if action.help else action.help
