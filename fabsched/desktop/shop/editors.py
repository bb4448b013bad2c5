"""One field each: shows a value, takes another, and says beneath what is wrong with it."""

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QLocale, QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDoubleSpinBox,
    QHBoxLayout,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop.line_field import LineField
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.shop.names import Unit
from fabsched.desktop.steady_fields import Amount, Count, OneOf
from fabsched.desktop.words import field_text
from fabsched.files.toml_read import Number, Rule, Sizes, Whole
from fabsched.files.toml_source import parse_toml
from fabsched.model.errors import InputError
from fabsched.model.shop import NEARBY, Unattended

DECIMALS = 5
"""More digits behind the point are kept, but not entered (our own choice)."""


class Editor(QWidget):
    """A field; subclasses put controls into it.

    Signals:
        edited: another value was entered.
    """

    edited = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty one."""
        super().__init__(parent)
        self.stops: list[QWidget] = []
        self.note = Note(Tone.ERROR, self)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(2)
        self._line = QHBoxLayout()
        self._line.setSpacing(4)
        self.column.addLayout(self._line)
        self.column.addWidget(self.note)

    def add_control(self, control: QWidget, *, stretch: int = 0) -> None:
        """Put a control behind the others; it can be reached by Tab."""
        self.stops.append(control)
        self._line.addWidget(control, stretch)

    def add_room(self) -> None:
        """Leave what room there is behind the controls."""
        self._line.addStretch(1)

    def describe(self, label: str, tip: str) -> None:
        """Say what it is, for people and for screen readers."""
        for stop in self.stops:
            stop.setAccessibleName(stop.accessibleName() or label)
            stop.setToolTip(tip)

    def show_value(self, value: Any) -> None:
        """Show what is set now."""
        raise NotImplementedError

    def refuse(self, text: str) -> None:
        """Say what is wrong; nothing if all is well."""
        self.note.say(text)

    def attempt(self, rule: Rule, value: object) -> None:
        """Tell a value if a rule can read it, or say why not."""
        try:
            read = rule.read(value, "")
        except InputError as error:
            self.refuse(field_text([error]))
            return
        self.refuse("")
        self.edited.emit(read)


class Figure(Amount):
    """A number with its unit, without needless digits."""

    def __init__(self, rule: Number | Sizes, unit: Unit, parent: QWidget | None = None) -> None:
        """Make it for the range of a rule."""
        super().__init__(parent)
        self._scale = unit.scale
        self.setDecimals(DECIMALS)
        self.setRange(rule.low * unit.scale, rule.high * unit.scale)
        self.setSuffix(unit.suffix)
        self.setStepType(QDoubleSpinBox.StepType.AdaptiveDecimalStepType)
        self.setKeyboardTracking(False)

    @property
    def figure(self) -> float:
        """What is shown, in the unit of the file."""
        return float(f"{self.value() / self._scale:.10g}")

    def show_figure(self, figure: float) -> None:
        """Show another one, without telling."""
        with QSignalBlocker(self):
            self.setValue(figure * self._scale)

    def textFromValue(self, value: float) -> str:  # noqa: N802 - Qt's name
        """As people write it."""
        locale = self.locale()
        locale.setNumberOptions(QLocale.NumberOption.OmitGroupSeparator)
        return locale.toString(value, "g", 8)


class FigureEditor(Editor):
    """One number."""

    def __init__(self, rule: Number, unit: Unit, parent: QWidget | None = None) -> None:
        """Make it for the range of a rule."""
        super().__init__(parent)
        self.box = Figure(rule, unit, self)
        self.add_control(self.box)
        self.add_room()
        self.box.valueChanged.connect(lambda: self.edited.emit(self.box.figure))

    def show_value(self, value: float) -> None:
        """Show what is set now."""
        self.box.show_figure(value)


class SizesEditor(Editor):
    """Several lengths."""

    def __init__(self, rule: Sizes, unit: Unit, parent: QWidget | None = None) -> None:
        """Make a field for each."""
        super().__init__(parent)
        self.boxes = [Figure(rule, unit, self) for _ in range(rule.count)]
        for axis, box in zip("xyz", self.boxes, strict=False):
            box.setAccessibleName(axis)
            box.setPrefix(f"{axis} ")
            self.add_control(box)
            box.valueChanged.connect(self._tell)
        self.add_room()

    def describe(self, label: str, tip: str) -> None:
        """Each goes by its direction."""
        for axis, box in zip("xyz", self.boxes, strict=False):
            box.setAccessibleName(f"{label}, {axis}")
            box.setToolTip(tip)

    def _tell(self) -> None:
        self.edited.emit(tuple(box.figure for box in self.boxes))

    def show_value(self, value: Sequence[float]) -> None:
        """Show what is set now."""
        for box, figure in zip(self.boxes, value, strict=True):
            box.show_figure(figure)


class CountEditor(Editor):
    """A whole number."""

    def __init__(self, rule: Whole, parent: QWidget | None = None) -> None:
        """Make it for the range of a rule."""
        super().__init__(parent)
        self.box = Count(self)
        self.box.setRange(rule.low, rule.high)
        self.box.setKeyboardTracking(False)
        self.box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.add_control(self.box)
        self.add_room()
        self.box.valueChanged.connect(lambda: self.edited.emit(self.box.value()))

    def show_value(self, value: int) -> None:
        """Show what is set now."""
        with QSignalBlocker(self.box):
            self.box.setValue(value)


class FlagEditor(Editor):
    """Yes or no."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        """Make it with its text beside it."""
        super().__init__(parent)
        self.box = QCheckBox(text, self)
        self.add_control(self.box)
        self.box.clicked.connect(lambda: self.edited.emit(self.box.isChecked()))

    def show_value(self, value: bool) -> None:
        """Show what is set now."""
        self.box.setChecked(value)


ALONE: Sequence[Unattended] = (True, NEARBY, False)
"""What may be said of a machine that runs with nobody beside it, the laxest first."""


class AloneEditor(Editor):
    """Whether a machine may run with nobody beside it: always, never, or while somebody is near."""

    def __init__(self, names: Sequence[str], parent: QWidget | None = None) -> None:
        """Make it with the names of the three."""
        super().__init__(parent)
        self.box = OneOf(self)
        self.box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        for name in names:
            self.box.addItem(name)
        self.add_control(self.box)
        self.add_room()
        self.box.activated.connect(lambda: self.edited.emit(ALONE[self.box.currentIndex()]))

    def show_value(self, value: Unattended) -> None:
        """Show what is set now."""
        self.box.setCurrentIndex(ALONE.index(value))


class TextEditor(Editor):
    """A text, a list of texts, or corners; told when the field is left."""

    def __init__(self, rule: Rule, parent: QWidget | None = None) -> None:
        """Make it for what a rule can read."""
        super().__init__(parent)
        self._rule = rule
        self._shown = ""
        self.box = LineField(self)
        self.add_control(self.box, stretch=1)
        self.box.editingFinished.connect(self._finish)

    def show_value(self, value: Any) -> None:
        """Show what is set now."""
        self._shown = self.written(value)
        self.box.setText(self._shown)

    def _finish(self) -> None:
        self.box.setModified(False)
        text = self.box.text().strip()
        if text == self._shown:
            self.refuse("")
        else:
            self.take(self._rule, text)

    def take(self, rule: Rule, text: str) -> None:
        """Have what was entered read."""
        self.attempt(rule, text)

    def written(self, value: Any) -> str:
        """A value as it is entered."""
        return str(value)


class ListEditor(TextEditor):
    """Texts with commas between them."""

    def take(self, rule: Rule, text: str) -> None:
        """Have what was entered read."""
        self.attempt(rule, [entry.strip() for entry in text.split(",") if entry.strip()])

    def written(self, value: Any) -> str:
        """As it is entered."""
        return ", ".join(value)


class CornersEditor(TextEditor):
    """Corners of areas, in brackets as in the file."""

    def __init__(self, rule: Rule, parent: QWidget | None = None) -> None:
        """Make it with an example in it."""
        super().__init__(rule, parent)
        self.box.setPlaceholderText(rule.example)

    def take(self, rule: Rule, text: str) -> None:
        """Have what was entered read; nothing means none."""
        if not text:
            self.refuse("")
            self.edited.emit(())
            return
        try:
            value = parse_toml(f"value = {text}", "")["value"]
        except InputError:
            value = text
        self.attempt(rule, value)

    def written(self, value: Any) -> str:
        """As it is entered."""
        return _brackets(value) if value else ""


def _brackets(value: Any) -> str:
    if isinstance(value, tuple):
        return f"[{', '.join(map(_brackets, value))}]"
    return f"{value:.10g}"


class ChoiceEditor(Editor):
    """One of the things the shop knows."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make it empty."""
        super().__init__(parent)
        self.box = OneOf(self)
        self.box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.add_control(self.box)
        self.add_room()
        self.box.activated.connect(lambda: self.edited.emit(self.box.currentData()))

    def offer(self, choices: Sequence[tuple[str, str]]) -> None:
        """Offer ids, each with what it is called."""
        if choices != [
            (self.box.itemData(i), self.box.itemText(i)) for i in range(self.box.count())
        ]:
            self.box.clear()
            for ident, name in choices:
                self.box.addItem(name, ident)

    def show_value(self, value: str) -> None:
        """Show what is set now."""
        if self.box.findData(value) < 0:
            self.box.addItem(value, value)
        self.box.setCurrentIndex(self.box.findData(value))
