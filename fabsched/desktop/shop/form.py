"""Everything that can be set about one place, person, machine or piece of stock."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFormLayout, QLabel, QToolButton, QVBoxLayout, QWidget

from fabsched.desktop.note import Note, Tone
from fabsched.desktop.prose import Prose
from fabsched.desktop.shop.editors import (
    AloneEditor,
    ChoiceEditor,
    CornersEditor,
    CountEditor,
    Editor,
    FigureEditor,
    FlagEditor,
    ListEditor,
    SizesEditor,
    TextEditor,
)
from fabsched.desktop.shop.hours_editor import Ask, BusyEditor, HoursEditor
from fabsched.desktop.shop.names import LABELS, tip_of, tr, unit_of
from fabsched.desktop.shop.ways import WaysEditor
from fabsched.files.areas_toml import Area, Areas
from fabsched.files.shop_rules import Alone
from fabsched.files.shop_text import INNER, Record
from fabsched.files.shop_toml import BUILD, KINDS, MOTION
from fabsched.files.toml_read import Fields, Flag, Number, Rule, Sizes, Texts, Whole
from fabsched.model.materials import Filament, SheetMaterial, usable
from fabsched.model.shop import Build, Motion, Place, Printer, Shop
from fabsched.session.wording import caution, phrase

CHOICES = ("place", "base", "material")
"""Fields that name something of the shop."""
WIDE = ("hours", "busy", *INNER)
"""Fields that take the whole width."""
INSIDE: Mapping[str, Fields] = {"motion": MOTION, "build": BUILD}


def _editor(name: str, rule: Rule, currency: str, parent: QWidget) -> Editor:
    """The editor for what a rule can read."""
    made: Editor
    match rule:
        case Number():
            made = FigureEditor(rule, unit_of(name, currency), parent)
        case Whole():
            made = CountEditor(rule, parent)
        case Sizes():
            made = SizesEditor(rule, unit_of(name), parent)
        case Flag():
            made = FlagEditor(tr(LABELS[name]), parent)
        case Alone():
            near = tr("While somebody stays at its place")
            made = AloneEditor([tr("Always"), near, tr("Never")], parent)
        case Texts():
            made = ListEditor(rule, parent)
        case Area() | Areas():
            made = CornersEditor(rule, parent)
        case _:
            made = TextEditor(rule, parent)
    return made


def _add_row(form: QFormLayout, name: str, editor: Editor) -> None:
    """Put a field into a form, with its name before or above it."""
    if isinstance(editor, FlagEditor):
        form.addRow("", editor)
    elif name in WIDE:
        if name not in INNER:
            form.addRow(QLabel(tr(LABELS[name]), form.parentWidget()))
        form.addRow(editor)
    else:
        label = QLabel(tr(LABELS[name]), form.parentWidget())
        label.setBuddy(editor.stops[0])
        form.addRow(label, editor)


def _plain_form(parent: QWidget) -> QFormLayout:
    form = QFormLayout(parent)
    form.setContentsMargins(0, 0, 0, 0)
    form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
    form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
    form.setLabelAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
    return form


class InnerEditor(Editor):
    """A table inside a printer's: shut at first, since few ever change it."""

    def __init__(self, table: str, parent: QWidget | None = None) -> None:
        """Make it shut."""
        super().__init__(parent)
        self._record: Motion | Build = Motion() if table == "motion" else Build()
        self.opener = QToolButton(self)
        self.opener.setText(tr(LABELS[table]))
        self.opener.setCheckable(True)
        self.opener.setAutoRaise(True)
        self.opener.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.add_control(self.opener)
        self.add_room()
        self.body = QWidget(self)
        form = _plain_form(self.body)
        form.setContentsMargins(22, 0, 0, 0)
        self.editors: dict[str, Editor] = {}
        for name, field in INSIDE[table].items():
            editor = _editor(name, field.rule, "", self.body)
            _add_row(form, name, editor)
            editor.describe(tr(LABELS[name]), tip_of(table, name))
            editor.edited.connect(lambda value, name=name: self._tell(name, value))
            self.editors[name] = editor
        self.column.insertWidget(1, self.body)
        self.opener.toggled.connect(self._open)
        self._open(False)

    def _open(self, shown: bool) -> None:
        self.body.setVisible(shown)
        arrow = Qt.ArrowType.DownArrow if shown else Qt.ArrowType.RightArrow
        self.opener.setArrowType(arrow)

    def _tell(self, name: str, value: Any) -> None:
        self.edited.emit(replace(self._record, **{name: value}))

    def show_value(self, value: Motion | Build) -> None:
        """Show what is set now."""
        self._record = value
        for name, editor in self.editors.items():
            editor.show_value(getattr(value, name))


class RecordForm(QWidget):
    """The form of one kind.

    Signals:
        changed: the record as it should be.
        way_wanted: id of another place, and minutes to it or None.
    """

    changed = Signal(object)
    way_wanted = Signal(str, object)

    def __init__(self, kind: str, currency: str, ask: Ask, parent: QWidget | None = None) -> None:
        """Make the fields of a kind.

        Args:
            kind: which.
            currency: sign behind costs.
            ask: asks for a calendar file.
            parent: Qt owner.
        """
        super().__init__(parent)
        self.kind = kind
        self._record: Record | None = None
        self.editors: dict[str, Editor] = {}
        self.ways = WaysEditor(self) if kind == "place" else None
        self.cautions = Note(Tone.WARNING, self)
        self.taken = Prose(self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 8, 0)
        column.addWidget(self.cautions)
        body = QWidget(self)
        form = _plain_form(body)
        for name, field in KINDS[kind][1].items():
            if name != "id":
                self._add(form, name, self._made(name, field.rule, currency, ask), currency)
        if self.ways is not None:
            form.addRow(self.ways)
            self.ways.wanted.connect(self.way_wanted)
        column.addWidget(body)
        column.addWidget(self.taken)
        column.addStretch(1)

    @property
    def stops(self) -> tuple[QWidget, ...]:
        """Its controls in the order of Tab."""
        found: list[QWidget] = []
        for editor in self.editors.values():
            found += editor.stops
            if isinstance(editor, InnerEditor):
                found += [stop for inner in editor.editors.values() for stop in inner.stops]
        return (*found, *(self.ways.boxes.values() if self.ways else ()))

    def _made(self, name: str, rule: Rule, currency: str, ask: Ask) -> Editor:
        if name in CHOICES:
            return ChoiceEditor(self)
        if name in INNER:
            return InnerEditor(name, self)
        if name == "hours":
            return HoursEditor(self)
        return BusyEditor(ask, self) if name == "busy" else _editor(name, rule, currency, self)

    def _add(self, form: QFormLayout, name: str, editor: Editor, currency: str) -> None:
        _add_row(form, name, editor)
        editor.describe(tr(LABELS[name]), tip_of(self.kind, name, currency))
        editor.edited.connect(lambda value: self._tell(name, value))
        self.editors[name] = editor

    def _tell(self, name: str, value: Any) -> None:
        if self._record is not None:
            changes: dict[str, Any] = {name: value}
            self.changed.emit(replace(self._record, **changes))

    def tell_stock(self, text: str) -> None:
        """Say what the plan takes of it; nothing hides that."""
        self.taken.setText(text)
        self.taken.setVisible(bool(text))

    def show_record(self, record: Record, shop: Shop) -> None:
        """Show what is set now, and forget what was wrong with something else."""
        self._record = record
        self._offer(shop)
        for name, editor in self.editors.items():
            editor.refuse("")
            editor.show_value(getattr(record, name))
        self.cautions.say(self._caution(record))
        if self.ways is not None and isinstance(record, Place):
            self.ways.show_ways(record, shop)

    def _offer(self, shop: Shop) -> None:
        """Offer the places and materials of now."""
        tables: Sequence[Filament | SheetMaterial] = (
            shop.filaments if self.kind == "spool" else shop.sheet_materials
        )
        choices = {
            "material": [(ident, ident) for ident in usable(tables)],
            "place": (places := [(place.id, place.name) for place in shop.places]),
            "base": places,
        }
        for name, offered in choices.items():
            editor = self.editors.get(name)
            if isinstance(editor, ChoiceEditor):
                editor.offer(offered)

    def _caution(self, record: Record) -> str:
        """The usual caution for a machine: no switch lets a laser run by itself."""
        if self.kind == "laser":
            return f"{phrase('shop-laser')} {caution('laser')}"
        alone = isinstance(record, Printer) and record.runs_alone
        return caution("unattended") if alone else ""

    def refuse(self, where: Sequence[str], text: str) -> bool:
        """Say what is wrong at the field it is about.

        Returns:
            False if it is about none of them.
        """
        name = next((name for name in where if name in self.editors), None)
        if name is None:
            return False
        self.editors[name].refuse(text)
        return True
