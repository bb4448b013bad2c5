"""What the log has taught, in sentences, and a button for each thing that shall no longer count."""

from collections import Counter
from collections.abc import Callable, Iterable
from functools import partial

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from fabsched.desktop.advice.rows import Line, Lines
from fabsched.model.experience import Seen
from fabsched.session.judged_records import Learnt
from fabsched.session.judged_words import learnt_lines, name_of
from fabsched.session.judging import learnt
from fabsched.session.log_words import names_of
from fabsched.session.names_learnt import names_of_seen
from fabsched.session.project_session import Session
from fabsched.session.wording import phrase


class LearntChapter(QWidget):
    """Follows what the user of a project has learnt.

    Args:
        title: heading.
        text: shows the sentences.
        weigh: lets what goes by a name no longer count (True) or count again (False).
        parent: Qt owner.
    """

    def __init__(
        self,
        title: QLabel,
        text: QLabel,
        weigh: Callable[[str, bool], object],
        parent: QWidget | None = None,
    ) -> None:
        """Make an empty one."""
        super().__init__(parent)
        self.text, self._weigh = text, weigh
        self.known = Lines(phrase("unlearn-title"), self)
        self.out = Lines(phrase("unlearnt-title"), self)
        self._counted: tuple[Counter[str], Counter[str]] = (Counter(), Counter())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        for widget in (title, text, self.known, self.out):
            column.addWidget(widget)

    def follow(self, session: Session) -> None:
        """Show what is known by now."""
        seen, names = session.experiences.seen, names_of(session.project, session.shop)
        known = learnt(session.experiences.knowledge, session.shop) if seen else Learnt()
        self.text.setText("\n".join(learnt_lines(known, names)) or phrase("learnt-nothing"))
        counted = (_by_name(seen), _by_name(session.experiences.unlearnt))
        if counted != self._counted:
            self._counted = counted
            for lines, counts, off in zip(
                (self.known, self.out), counted, (True, False), strict=True
            ):
                lines.say(
                    [self._line(name, counts[name], names, off=off) for name in sorted(counts)]
                )

    def _line(self, name: str, count: int, names: dict[str, str], *, off: bool) -> Line:
        what, code = name_of(name, names), "unlearn" if off else "learn-again"
        return Line(
            phrase("learnt-of", what=what, count=count),
            button=phrase(code),
            deed=partial(self._weigh_one, name, off),
            tip=phrase(f"{code}-tip", what=what),
        )

    def _weigh_one(self, name: str, off: bool) -> None:
        """Do it, and let the focus stay near."""
        self._weigh(name, off)
        nearest = [*self.out.buttons, *self.known.buttons]
        if nearest:
            nearest[0].setFocus()


def _by_name(seen: Iterable[Seen]) -> Counter[str]:
    """How much was seen of what goes by each name."""
    return Counter(name for one in seen for name in names_of_seen(one) if name)
