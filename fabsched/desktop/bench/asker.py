"""Says what happened, and asks first where there is more to say."""

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from fabsched.desktop.bench.details import Details, Question
from fabsched.desktop.bench.sayings import LATER_S, Say, how_far, until_s
from fabsched.desktop.bench.teller import Facts, Teller
from fabsched.desktop.bench.waiting import components_of
from fabsched.desktop.desk import Desk
from fabsched.model.log import Entry
from fabsched.model.plan import Block
from fabsched.session.bench import Bench
from fabsched.session.log_words import entry_line, names_of
from fabsched.session.sayings import Verb
from fabsched.session.wording import phrase


class Asker:
    """Stands between views and the teller."""

    def __init__(self, desk: Desk, teller: Teller, parent: QWidget) -> None:
        """Make one.

        Args:
            desk: whose project.
            teller: writes down what was said.
            parent: the window dialogs belong to.
        """
        self._desk, self.teller, self._parent = desk, teller, parent

    def say(self, said: Say, block: Block) -> None:
        """Say something of a block; asks how far or until when where that is needed."""
        if not said.asks:
            self.teller.tell(said.verb, block.id)
            return
        session = self._desk.session
        if session is None:
            return
        now_s, state = self.teller.now_s, session.log.state
        plan = session.log.in_hand
        far, whole_s = how_far(block, state, now_s, dict(plan.meant if plan else ()))
        fails = said.verb is Verb.FAIL
        asked = Question(
            title=_title(block.what, said.code),
            zone=session.project.zone,
            now_s=now_s,
            at_s=now_s,
            share=far if fails else None,
            whole_s=whole_s if fails else None,
            until_s=None if fails else until_s(block, now_s),
            at_is_asked=fails,
            subjects=() if fails else _subjects(session, block),
        )
        self._ask(asked, lambda facts: self.teller.tell(said.verb, facts.about or block.id, facts))

    def lose(self, ident: str, name: str) -> None:
        """Ask until when a machine or person cannot be had."""
        session = self._desk.session
        if session is None:
            return
        now_s = self.teller.now_s
        asked = Question(
            title=_title(name, "say-lost"),
            zone=session.project.zone,
            now_s=now_s,
            at_s=now_s,
            until_s=now_s + 4 * LATER_S,
        )
        self._ask(asked, lambda facts: self.teller.tell(Verb.LOSE, ident, facts))

    def correct(self, entry: Entry) -> None:
        """Ask what an entry should have said."""
        session = self._desk.session
        if session is None:
            return
        names = names_of(session.project, session.shop)
        asked = Question(
            title=entry_line(entry, names, session.project.zone),
            zone=session.project.zone,
            now_s=self.teller.now_s,
            at_s=entry.moment_s,
            share=entry.share,
            until_s=entry.until_s,
            why=entry.why,
            people=_people(session) if entry.meant.people else (),
            by=entry.meant.people,
        )
        self._ask(asked, lambda facts: self.teller.correct(entry.id, facts))

    def _ask(self, asked: Question, then: Callable[[Facts], None]) -> None:
        Details(asked, then, self._parent).open()


def _people(session: Bench) -> tuple[tuple[str, str], ...]:
    """Those who may have done something; none where there is nobody to choose from."""
    people = session.shop.people
    return tuple((each.id, each.name) for each in people) if len(people) > 1 else ()


def _subjects(session: Bench, block: Block) -> tuple[tuple[str, str], ...]:
    """What may be late where a block is: it itself, or a component it needs; none if it needs none."""
    needed = components_of(session, block)
    own = (("", block.what),) if needed else ()
    return (*own, *((component.id, component.name) for component in needed))


def _title(what: str, code: str) -> str:
    """What is said of what."""
    said = phrase(code).rstrip("\u2026")
    return f"{what}: {said[:1].lower()}{said[1:]}"
