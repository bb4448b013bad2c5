"""One part, in full: how it looks, what is known of it, and everything that can be set about it."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from fabsched.desktop import drafts
from fabsched.desktop.desk import Desk
from fabsched.desktop.dimensions.panel import DimensionPanel
from fabsched.desktop.layer_table import LayerTable
from fabsched.desktop.line_field import LineField
from fabsched.desktop.part_facts import facts_of
from fabsched.desktop.places import Place
from fabsched.desktop.pose_list import PoseList
from fabsched.desktop.prose import Prose
from fabsched.desktop.side_column import SideColumn
from fabsched.desktop.solid.shapes import Shapes, Shown
from fabsched.desktop.solid.view import SolidView
from fabsched.desktop.steady_fields import Amount, Count, OneOf
from fabsched.model.estimates import Route
from fabsched.model.materials import usable
from fabsched.model.project import Part
from fabsched.model.shapes import Drawing, Mesh
from fabsched.session.edits import put_all

DRAFT = "part-name"
"""Under this name what was typed is kept."""
MOST_ON_A_BED = 99
"""More copies on one bed are not offered (our own choice)."""
THICKEST_MM = 50.0
"""Thicker sheets are not offered."""


class PartFields(QWidget):
    """What can be set about a part."""

    def __init__(self, change: Callable[[Part], None], parent: QWidget | None = None) -> None:
        """Make the fields.

        Args:
            change: takes the part as it should be.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._change = change
        self._part: Part | None = None
        self.name = LineField(self)
        self.material = OneOf(self)
        self.thickness = Amount(self)
        self.per_run = Count(self)
        self.needed = QCheckBox(self.tr("The project is unfinished without it"), self)
        self._dress()
        self._lay_out()
        self.name.editingFinished.connect(self._set_name)
        self.material.activated.connect(self._set_material)
        self.thickness.valueChanged.connect(lambda mm: self._set(thickness_mm=mm))
        self.per_run.valueChanged.connect(lambda most: self._set(per_run=most or None))
        self.needed.clicked.connect(lambda on: self._set(needed=on))

    def _dress(self) -> None:
        self.name.setToolTip(self.tr("What it is called on the timeline and on paper"))
        self.material.setToolTip(self.tr("What it is made of; the shop's tables hold more"))
        self.thickness.setToolTip(self.tr("Thickness of the sheet it is cut from"))
        self.thickness.setSuffix(self.tr(" mm"))
        self.thickness.setRange(0.1, THICKEST_MM)
        self.thickness.setSingleStep(0.5)
        self.per_run.setRange(0, MOST_ON_A_BED)
        self.per_run.setSpecialValueText(self.tr("as many as fit"))
        self.per_run.setToolTip(
            self.tr("Most copies on one bed: one failure spoils all that lie on it")
        )
        self.needed.setToolTip(self.tr("Otherwise it may be left out to be done in time"))
        for field in (self.thickness, self.per_run):
            field.setKeyboardTracking(False)

    def _lay_out(self) -> None:
        self.form = QFormLayout(self)
        self.form.setContentsMargins(0, 0, 0, 0)
        self.form.addRow(self.tr("&Name"), self.name)
        self.form.addRow(self.tr("&Material"), self.material)
        self.form.addRow(self.tr("&Thickness"), self.thickness)
        self.form.addRow(self.tr("On one &bed"), self.per_run)
        self.form.addRow("", self.needed)

    def show_part(self, part: Part, materials: list[str]) -> None:
        """Show what is set now.

        Args:
            part: the part.
            materials: ids of those it could be made of.
        """
        same = self._part is not None and self._part.id == part.id
        self._part = part
        fields = (self.name, self.material, self.thickness, self.per_run, self.needed)
        blockers = [QSignalBlocker(field) for field in fields]
        typing = self.name.isModified() and same
        if self.name.text() != part.name and not typing:
            self.name.setText(part.name)
        self.material.clear()
        self.material.addItems(list(dict.fromkeys([*materials, part.material])))
        self.material.setCurrentText(part.material)
        self.thickness.setValue(part.thickness_mm or 3.0)
        self.per_run.setValue(part.per_run or 0)
        self.needed.setChecked(part.needed)
        self.form.setRowVisible(self.thickness, part.route is Route.CUT)
        self.form.setRowVisible(self.per_run, part.route is Route.PRINT)
        del blockers

    def _set_name(self) -> None:
        self.name.setModified(False)
        name = self.name.text().strip()
        if name:
            self._set(name=name)

    def _set_material(self) -> None:
        self._set(material=self.material.currentText())

    def _set(self, **changes: object) -> None:
        if self._part is not None:
            self._change(replace(self._part, **changes))  # type: ignore[arg-type]  # one field


class PartPage(QWidget):
    """Follows the part that was chosen.

    Signals:
        drafted: a name that was typed and not entered comes back; the page should be seen.
    """

    drafted = Signal()

    def __init__(self, desk: Desk, shapes: Shapes, parent: QWidget | None = None) -> None:
        """Make a page.

        Args:
            desk: whose parts.
            shapes: what they look like.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self.shapes = desk, shapes
        self.ident = self._typed = ""
        self.hint = QLabel(self.tr("Click a part on the left to see it here."), self)
        self.view = SolidView(self)
        self.fields = PartFields(self._change, self)
        self.poses = PoseList(desk, self)
        self.layers = LayerTable(self._change, self)
        self.dimensions = DimensionPanel(desk, self.view, self)
        self.facts = Prose(self)
        self.flat = QPushButton(self.tr("Look from above"), self)
        self.flat.setToolTip(self.tr("Turn the part so that one looks straight down on it"))
        self.compare = QPushButton(self.tr("Plate or print?"), self)
        self.testcut = QPushButton(self.tr("Make a test cut"), self)
        self._lay_out()
        for signal in (desk.opened, desk.changed, desk.planned, desk.estimated):
            signal.connect(self.follow)
        shapes.known.connect(lambda ident: self.follow() if ident == self.ident else None)
        self.flat.clicked.connect(
            lambda: self.view.look_from(replace(self.view.camera, turn_deg=0.0, tilt_deg=89.0))
        )
        self.fields.name.textEdited.connect(self._draft)
        self.fields.name.editingFinished.connect(self._drop_draft)
        desk.opened.connect(self._offer_draft)
        self.follow()

    def _draft(self, text: str) -> None:
        """Keep a name that is being typed, against a crash."""
        if (session := self._desk.session) is not None:
            drafts.keep(session.folder, DRAFT, {"part": self.ident, "name": text})

    def _drop_draft(self) -> None:
        if (session := self._desk.session) is not None:
            drafts.drop(session.folder, DRAFT)

    def _offer_draft(self) -> None:
        """Show a name that was typed and not entered in its field; Enter takes it."""
        session = self._desk.session
        draft = drafts.kept(session.folder, DRAFT) if session else None
        if draft is None:
            return
        self.choose(str(draft.get("part", "")))
        if self.part is not None:
            self._typed = str(draft.get("name", ""))
            self.drafted.emit()
            self.follow()

    def _put_back(self) -> None:
        """Put what was typed into the field, as soon as it can be seen."""
        field, typed = self.fields.name, self._typed
        self._typed = ""
        if typed:
            field.setText(typed)
            field.setModified(True)
            field.setFocus(Qt.FocusReason.OtherFocusReason)

    def _lay_out(self) -> None:
        self.hint.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.hint.setForegroundRole(self.palette().ColorRole.PlaceholderText)
        self.facts.setTextFormat(Qt.TextFormat.RichText)
        self.facts.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.facts.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.facts.setAccessibleName(self.tr("What is known of the part"))
        side = QWidget(self)
        column = QVBoxLayout(side)
        column.addWidget(self.fields)
        column.addWidget(self.layers)
        column.addWidget(self.dimensions)
        column.addWidget(self.facts)
        self.compare.setToolTip(
            self.tr("Compare printing it whole with cutting plates out of it and printing the rest")
        )
        column.addWidget(self.poses)
        self.testcut.setToolTip(self.tr("Find feed and kerf for its sheet by a ladder of squares"))
        for button in (self.compare, self.testcut):
            column.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        scroll = SideColumn(side, self)
        self.dimensions.opened.connect(
            lambda card: QTimer.singleShot(0, card, lambda: scroll.ensureWidgetVisible(card))
        )
        seen = QWidget(self)
        left = QVBoxLayout(seen)
        left.setContentsMargins(0, 0, 0, 0)
        left.addWidget(self.view, 1)
        left.addWidget(self.flat, 0, Qt.AlignmentFlag.AlignLeft)
        self._halves = QSplitter(Qt.Orientation.Horizontal, self)
        for widget in (seen, scroll):
            self._halves.addWidget(widget)
            self._halves.setCollapsible(self._halves.indexOf(widget), False)
        self._halves.setSizes([460, 340])
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 6, 0, 0)
        row.addWidget(self.hint, 1)
        row.addWidget(self._halves, 1)

    @property
    def part(self) -> Part | None:
        """The part that is shown."""
        session = self._desk.session
        parts = session.project.parts if session else ()
        return next((part for part in parts if part.id == self.ident), None)

    def choose(self, ident: str) -> None:
        """Show the part of that id."""
        self.ident = ident
        self.follow()

    def follow(self) -> None:
        """Show the part as it is now; what is out of sight waits until it is seen."""
        part, session = self.part, self._desk.session
        self.hint.setVisible(part is None)
        self._halves.setVisible(part is not None)
        if not self.isVisible() or part is None or session is None:
            return
        shop = session.shop
        tables = shop.filaments if part.route is Route.PRINT else shop.sheet_materials
        self.fields.show_part(part, usable(tables))
        self._put_back()
        shape = self.shapes.of(part.id)
        if shape is not self.view.shape:
            self.view.show_shape(shape)
        self.facts.setText(facts_of(session, part))
        self._show_layers(part, shape)
        self.poses.show_part(part)
        solid = part.route is Route.PRINT and isinstance(shape, Mesh)
        self.dimensions.show_part(part, solid=solid)
        self.compare.setVisible(part.route is Route.PRINT)
        self.testcut.setVisible(part.route is Route.CUT)

    def _show_layers(self, part: Part, shape: Shown | None) -> None:
        """What is done along each layer of a drawing; solids have none."""
        drawing = shape if isinstance(shape, Drawing) else None
        if part.route is Route.CUT:
            self.layers.show_part(part, drawing.layers if drawing else ())
        else:
            self.layers.hide()

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Catch up with what has changed meanwhile."""
        super().showEvent(event)
        self.follow()

    def _change(self, part: Part) -> None:
        if part != self.part:
            self._desk.change(Place.PARTS, "edit-part", put_all([part]))
            self.follow()
