"""What is seldom set about work: where, by whom, when at the soonest, what may be done with it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDoubleSpinBox,
    QFormLayout,
    QHBoxLayout,
    QWidget,
)

from fabsched.desktop.bench.moments import MomentField
from fabsched.desktop.dimensions.fields import choice
from fabsched.desktop.drafts import Draft
from fabsched.desktop.item_menu import ItemMenu
from fabsched.desktop.span_box import SpanBox
from fabsched.desktop.steady_fields import Amount, Count
from fabsched.files.project_toml import MOST_PEOPLE
from fabsched.model.project import USUAL_LATE, Gate, Part, Work
from fabsched.model.shop import Shop
from fabsched.model.spread import Spread

MOST_MINUTES = 10_000
"""A week; longer work is no weekend's (our own choice)."""
USUAL_CHANCE = 0.2
"""How likely a new check finds a fault, to begin with (our own choice)."""
PERCENT = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What work can refer to.

    Attributes:
        items: all other items of the project.
        shop: its places, and the skills of its people.
        zone: where moments are shown.
        now: proposed for a moment that was not told.
    """

    items: tuple[Part | Work, ...]
    shop: Shop
    zone: ZoneInfo
    now: datetime


class WorkDetails(QWidget):
    """The fields.

    Signals:
        edited: the user has changed something.
    """

    edited = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make the fields, as for new work."""
        super().__init__(parent)
        self._work: Work | None = None
        self._make_choices()
        self.not_before = QCheckBox(self.tr("not before"), self)
        self.moment = MomentField(0, ZoneInfo("UTC"), self)
        self.may_be_late = QCheckBox(self.tr("may come late, by"), self)
        self.late = (SpanBox(self), SpanBox(self), SpanBox(self))
        self.is_gate = QCheckBox(self.tr("It looks for a fault"), self)
        self.chance, self.left, self.shows = _percent(self), _percent(self), _percent(self)
        self.redo = ItemMenu(self.tr("What is done again when it finds one"), self)
        self.eases = choice(self, self.tr("A later check that finds the same fault"), {})
        self._dress()
        self._lay_out()
        self._connect()

    def _make_choices(self) -> None:
        self.place = choice(self, self.tr("Where it is done"), {})
        self.skill = choice(self, self.tr("What somebody has to be able to do for it"), {})
        self.skills = ItemMenu(self.tr("What else each who does it has to be able to do"), self)
        self.people = Count(self)
        self.people.setRange(1, MOST_PEOPLE)
        text = self.tr(
            "How many people it takes at once: two to lift, one to hold and one to drill"
        )
        self.people.setAccessibleName(text)
        self.people.setToolTip(text)
        self.needed = QCheckBox(self.tr("The project is unfinished without it"), self)
        self.early = QCheckBox(self.tr("May be done before the weekend"), self)
        self.splittable = QCheckBox(self.tr("May be laid down and taken up again"), self)
        self.undoable = QCheckBox(self.tr("Can be undone later"), self)
        tips = {
            self.needed: self.tr("Otherwise it may be left out to be done in time"),
            self.early: self.tr("In spare minutes, before everything else begins"),
            self.splittable: self.tr("Then it fills the gaps while machines run"),
            self.undoable: self.tr("Code under version control can, glue cannot"),
        }
        for box, tip in tips.items():
            box.setToolTip(tip)

    @property
    def flags(self) -> dict[str, QCheckBox]:
        """The boxes that stand for a field of their own, by its name."""
        return {
            "needed": self.needed,
            "early": self.early,
            "splittable": self.splittable,
            "undoable": self.undoable,
        }

    def _dress(self) -> None:
        self.not_before.setToolTip(
            self.tr("It waits for something from outside: a delivery, a day")
        )
        self.moment.setAccessibleName(self.tr("The moment before which it cannot start"))
        self.moment.setToolTip(self.tr("The moment before which it cannot start"))
        late = self.tr("How much later than that it may turn out to be")
        self.may_be_late.setToolTip(late)
        for field, text in zip(
            self.late,
            (self.tr("if all goes well"), self.tr("as expected"), self.tr("on a bad day")),
            strict=True,
        ):
            field.setRange(0, MOST_MINUTES)
            field.be_narrow()
            field.setAccessibleName(f"{late}, {text}")
            field.setToolTip(f"{late}, {text}" + self.tr(": write 90, 90 min, 1:30 or 1 h 30"))
        self.is_gate.setToolTip(
            self.tr("A test fit, a row of wiring tested: while it is still cheap")
        )
        names = {
            self.chance: self.tr("How likely it finds a fault"),
            self.left: self.tr("Share of the later check's faults that slip through"),
            self.shows: self.tr(
                "How likely it shows what the later check would find, where less is done again, as "
                "with a ladder of copies; 0 for the chance"
            ),
        }
        for percent, text in names.items():
            percent.setAccessibleName(text)
            percent.setToolTip(text)

    def _lay_out(self) -> None:
        self.form = QFormLayout(self)
        self.form.setContentsMargins(0, 0, 0, 0)
        self.form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.form.addRow(self.tr("&Place"), self.place)
        self.form.addRow(self.tr("S&kill"), self.skill)
        self.form.addRow(self.tr("Als&o"), self.skills)
        self.form.addRow(self.tr("Peop&le"), self.people)
        for box in self.flags.values():
            self.form.addRow(box)
        self.form.addRow(self.not_before, self.moment)
        line = QHBoxLayout()
        for field in self.late:
            line.addWidget(field, 1)
        self.form.addRow(self.may_be_late)
        self.form.addRow(line)
        self.form.addRow(self.is_gate)
        self.form.addRow(self.tr("Cha&nce"), self.chance)
        self.form.addRow(self.tr("&Done again"), self.redo)
        self.form.addRow(self.tr("&Eases"), self.eases)
        self.form.addRow(self.tr("&Slips through"), self.left)
        self.form.addRow(self.tr("Sho&ws"), self.shows)

    def _connect(self) -> None:
        boxes = (*self.flags.values(), self.not_before, self.may_be_late, self.is_gate)
        for box in boxes:
            box.toggled.connect(lambda _on: self._follow())
            box.clicked.connect(lambda _on: self.edited.emit())
        for field in (*self.late, self.chance, self.left, self.shows, self.people):
            field.valueChanged.connect(lambda _value: self.edited.emit())
        for combo in (self.place, self.skill, self.eases):
            combo.activated.connect(lambda _index: self.edited.emit())
        self.moment.dateTimeChanged.connect(lambda _moment: self.edited.emit())
        for menu in (self.redo, self.skills):
            menu.edited.connect(self.edited)

    def begin(self, work: Work | None, around: Around) -> None:
        """Show a piece of work, or what new work starts with.

        Args:
            work: what is changed; None for something new.
            around: what it can refer to.
        """
        self._work = work
        shown = work or Work(id="new", name="", minutes=Spread(0, 0, 0))
        people = around.shop.people
        places = {place.id: place.name for place in around.shop.places}
        skills = {skill: skill for person in people for skill in person.skills}
        _offer(self.place, {"": self.tr("where the person is based"), **places}, shown.place)
        _offer(self.skill, {"": self.tr("none: anybody can"), **skills}, shown.skill)
        asked = {skill: skill for skill in shown.skills}
        self.skills.offer({**skills, **asked}, shown.skills)
        self.people.setValue(shown.people_needed)
        for name, box in self.flags.items():
            box.setChecked(getattr(shown, name))
        self._show_moment(shown, around)
        self._show_gate(shown, around.items)
        self.is_gate.setVisible(work is None or isinstance(work, Gate))
        self.is_gate.setEnabled(work is None)
        self._follow()

    def _show_moment(self, work: Work, around: Around) -> None:
        moment, late = work.not_before, work.late_minutes
        self.not_before.setChecked(moment is not None)
        self.moment.use_zone(around.zone)
        self.moment.show_moment(int((moment or around.now.replace(second=0)).timestamp()))
        self.may_be_late.setChecked(late is not None)
        usual = late or USUAL_LATE
        figures = (usual.low, usual.likely, usual.high)
        for field, minutes in zip(self.late, figures, strict=True):
            field.setValue(round(minutes))

    def _show_gate(self, work: Work, items: Iterable[Part | Work]) -> None:
        gate = work if isinstance(work, Gate) else None
        self.is_gate.setChecked(gate is not None)
        self.chance.setValue((gate.chance if gate else USUAL_CHANCE) * PERCENT)
        self.left.setValue((gate.left if gate else 0.0) * PERCENT)
        self.shows.setValue((gate.shows if gate else 0.0) * PERCENT)
        settled = tuple(items)
        names = {each.id: each.name for each in settled}
        self.redo.offer(names, gate.redo if gate else ())
        later = {each.id: each.name for each in settled if isinstance(each, Gate)}
        _offer(self.eases, {"": self.tr("none"), **later}, gate.eases if gate else "")

    def _follow(self) -> None:
        """Show only what applies."""
        self.moment.setEnabled(self.not_before.isChecked())
        self.may_be_late.setEnabled(self.not_before.isChecked())
        for field in self.late:
            field.setEnabled(self.not_before.isChecked() and self.may_be_late.isChecked())
        for widget in (self.chance, self.redo, self.eases, self.left, self.shows):
            self.form.setRowVisible(widget, self.is_gate.isChecked())

    @property
    def late_rises(self) -> bool:
        """Whether the three figures of what may come late are in order."""
        low, likely, high = (field.value() for field in self.late)
        return not self.late[0].isEnabled() or low <= likely <= high

    def put(self, work: Work) -> Work:
        """The work with what stands in the fields; a gate where it looks for a fault.

        Args:
            work: name, time and what it waits for are set; anything that is not shown is kept.
        """
        told = replace(
            work,
            place=self.place.currentData(),
            skill=self.skill.currentData(),
            skills=self.skills.chosen,
            people_needed=self.people.value(),
            not_before=self._moment() if self.not_before.isChecked() else None,
            late_minutes=self._late() if self.late[0].isEnabled() else None,
            needed=self.needed.isChecked(),
            early=self.early.isChecked(),
            splittable=self.splittable.isChecked(),
            undoable=self.undoable.isChecked(),
        )
        return self._as_gate(told) if self.is_gate.isChecked() else told

    def _moment(self) -> datetime:
        kept = self._work.not_before if self._work else None
        moment_s = self.moment.moment_s
        if kept is not None and int(kept.timestamp()) == moment_s:
            return kept
        return datetime.fromtimestamp(moment_s, UTC).astimezone(self.moment.zone)

    def _late(self) -> Spread:
        """As the fields show it; fractions written by hand are kept unless a figure is changed."""
        kept = self._work.late_minutes if self._work else None
        figures = tuple(field.value() for field in self.late)
        if kept is not None and figures == tuple(map(round, (kept.low, kept.likely, kept.high))):
            return kept
        return Spread(*figures)

    def _as_gate(self, work: Work) -> Gate:
        fields = {name: getattr(work, name) for name in Work.__dataclass_fields__}
        return Gate(
            **fields,
            chance=round(self.chance.value() / PERCENT, 4),
            redo=self.redo.chosen,
            eases=self.eases.currentData(),
            left=round(self.left.value() / PERCENT, 4),
            shows=round(self.shows.value() / PERCENT, 4),
        )

    # What is kept against a crash.

    def draft(self) -> Draft:
        """What stands in the fields now."""
        return {
            "flags": [name for name, box in self.flags.items() if box.isChecked()],
            "place": self.place.currentData(),
            "skill": self.skill.currentData(),
            "skills": list(self.skills.chosen),
            "people": self.people.value(),
            "not_before": self.moment.moment_s if self.not_before.isChecked() else None,
            "late": [field.value() for field in self.late]
            if self.may_be_late.isChecked()
            else None,
            "gate": self.is_gate.isChecked(),
            "chance": self.chance.value(),
            "redo": list(self.redo.chosen),
            "eases": self.eases.currentData(),
            "left": self.left.value(),
            "shows": self.shows.value(),
        }

    def take_draft(self, draft: Draft) -> None:
        """Put back what stood in them; what cannot be read of it is left out."""
        flags, moment, late = draft.get("flags"), draft.get("not_before"), draft.get("late")
        if isinstance(flags, list):
            for name, box in self.flags.items():
                box.setChecked(name in flags)
        for name in ("place", "skill", "eases"):
            combo: QComboBox = getattr(self, name)
            combo.setCurrentIndex(max(0, combo.findData(draft.get(name))))
        if isinstance(moment, int):
            self.not_before.setChecked(True)
            self.moment.show_moment(moment)
        if isinstance(late, list):
            self.may_be_late.setChecked(True)
            for field, value in zip(self.late, late, strict=False):
                field.setValue(value if isinstance(value, int) else field.value())
        if draft.get("gate") is True and self.is_gate.isEnabled():
            self.is_gate.setChecked(True)
        self.redo.choose(draft.get("redo"))
        self.skills.choose(draft.get("skills"))
        people = draft.get("people")
        self.people.setValue(people if isinstance(people, int) else self.people.value())
        for name in ("chance", "left", "shows"):
            percent: QDoubleSpinBox = getattr(self, name)
            value = draft.get(name)
            percent.setValue(float(value) if isinstance(value, int | float) else percent.value())


def _percent(owner: QWidget) -> QDoubleSpinBox:
    field = Amount(owner)
    field.setDecimals(1)
    field.setRange(0.0, PERCENT)
    field.setSingleStep(5.0)
    field.setSuffix(owner.tr(" %"))
    return field


def _offer(field: QComboBox, entries: dict[str, str], chosen: str) -> None:
    """Show other entries; one that is chosen and not among them is kept."""
    field.clear()
    for value, name in {**entries, **({} if chosen in entries else {chosen: chosen})}.items():
        field.addItem(name, value)
    field.setCurrentIndex(field.findData(chosen))
