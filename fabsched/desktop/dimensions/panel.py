"""The critical dimensions of a part: listed, drawn on it, added, changed, tried and measured."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from fabsched.advise.counsel import coupon_id
from fabsched.desktop.copying import let_copy_tree
from fabsched.desktop.desk import Desk
from fabsched.desktop.dimensions.form import DimensionForm
from fabsched.desktop.dimensions.measure_form import MeasureForm
from fabsched.desktop.dimensions.overlay import Drawn, drawn_of, paint
from fabsched.desktop.dimensions.pick_card import PickCard
from fabsched.desktop.dimensions.words import came_out, measured_drawn, shown
from fabsched.desktop.note import Note, Tone
from fabsched.desktop.parts_panel import heading
from fabsched.desktop.places import Place
from fabsched.desktop.solid.camera import Stand
from fabsched.desktop.solid.view import SolidView
from fabsched.desktop.timeline.look import Look
from fabsched.desktop.words import error_text
from fabsched.model.features import Dimension
from fabsched.model.project import Fit, Part
from fabsched.session.clock import duration
from fabsched.session.copy_request import (
    CopyRequest,
    CopyResponse,
    copy_request,
    open_check,
    take_copy,
)
from fabsched.session.coupon_request import (
    CouponRequest,
    CouponResponse,
    add_coupon,
    coupon_request,
)
from fabsched.session.edits import put_all
from fabsched.session.features_request import FeaturesRequest, FeaturesResponse
from fabsched.session.fit_edits import fit_of, free_id, with_fit, without_fit
from fabsched.session.fit_outcomes import outcome_text, size_text, tries
from fabsched.session.sayings import Saying
from fabsched.session.wording import phrase

ADD = "add-fit"
"""Label of the change that adds one."""
ROWS_SHOWN = (2, 6)
"""So many dimensions are in sight without scrolling, at least and at most."""


class DimensionPanel(QWidget):
    """Follows the part that is shown.

    Signals:
        opened: a form that should be brought into sight.
    """

    opened = Signal(QWidget)

    def __init__(self, desk: Desk, view: SolidView, parent: QWidget | None = None) -> None:
        """Make an empty panel.

        Args:
            desk: whose parts.
            view: where they are seen.
            parent: Qt owner.
        """
        super().__init__(parent)
        self._desk, self._view = desk, view
        self._part: Part | None = None
        self._asked: int | None = None
        self._begun = ""
        self.pick = QPushButton(self.tr("Pick on the model"), self)
        self.cards = (PickCard(self), DimensionForm(self), MeasureForm(desk.now, self))
        self.picking, self.form, self.measuring = self.cards
        self.list = QTreeWidget(self)
        self.told = Note(Tone.NOTE, self)
        self.trouble = Note(Tone.ERROR, self)
        self.change, self.coupon, self.measure, self.remove = (
            QPushButton(text, self)
            for text in (
                self.tr("Change\u2026"),
                self.tr("Make a coupon"),
                self.tr("Note a measure\u2026"),
                self.tr("Remove"),
            )
        )
        self._dress()
        self._lay_out()
        self._connect()

    def _dress(self) -> None:
        tips = {
            self.pick: self.tr("Click a hole, or two faces or holes, and keep what they measure"),
            self.change: self.tr("Change what is wanted of the marked dimension"),
            self.coupon: self.tr("Cut a small test print out of the part and put it before it"),
            self.measure: self.tr("Note what the last one came out as, or which copy fits"),
            self.remove: self.tr("Let this dimension be like any other; undo takes that back"),
        }
        for button, tip in tips.items():
            button.setToolTip(tip)
        self.pick.setCheckable(True)
        self.list.setHeaderLabels([self.tr("Dimension"), self.tr("wanted"), self.tr("came out as")])
        self.list.setRootIsDecorated(False)
        let_copy_tree(self.list)
        self.list.setAccessibleName(self.tr("Critical dimensions"))
        header = self.list.header()
        header.setStretchLastSection(False)
        for column, mode in enumerate(("Stretch", "ResizeToContents", "ResizeToContents")):
            header.setSectionResizeMode(column, getattr(QHeaderView.ResizeMode, mode))

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 6)
        column.addLayout(heading(self.tr("Critical dimensions"), self.pick))
        for widget in (self.trouble, *self.cards, self.list, self.told):
            column.addWidget(widget)
        for pair in ((self.change, self.measure), (self.coupon, self.remove)):
            line = QHBoxLayout()
            for button in pair:
                line.addWidget(button, 1)
            column.addLayout(line)

    def _connect(self) -> None:
        self.pick.toggled.connect(self._pick)
        self.picking.chosen.connect(self._mark)
        self.picking.left.connect(lambda: self.pick.setChecked(False))
        self.picking.ready.connect(self._begin_new)
        self.form.ready.connect(self._keep)
        self.measuring.ready.connect(self._note)
        self.change.clicked.connect(self._begin_change)
        self.coupon.clicked.connect(self._ask_coupon)
        self.measure.clicked.connect(self._begin_measure)
        self.remove.clicked.connect(self._remove)
        self.list.currentItemChanged.connect(lambda *_: self._follow_choice())
        self.list.itemActivated.connect(self._begin_change)
        self._view.picked.connect(self.picking.click)
        self._view.draw_over(self._paint)
        self._desk.opened.connect(self._forget)

    # What it follows.

    def show_part(self, part: Part | None, *, solid: bool) -> None:
        """Show a part's dimensions; those of drawings are not told of.

        Args:
            part: the part, or None.
            solid: whether it is shown as a solid.
        """
        if self._key(part) != self._key(self._part):
            self._forget()
        self._part = part
        self.setVisible(part is not None and (solid or bool(part.fits)))
        self.pick.setEnabled(solid)
        self._show_list()

    @staticmethod
    def _key(part: Part | None) -> tuple[object, ...]:
        """What the solid and its features depend on."""
        return (part.id, part.file, part.unit, part.turn_deg) if part else ()

    def _forget(self) -> None:
        self._desk.errands.drop(self._asked)
        self._part, self._asked = None, None
        for card in self.cards:
            card.hide()
        self.told.say("")
        self.trouble.say("")

    def _show_list(self) -> None:
        chosen = self.chosen
        fits = self._part.fits if self._part else ()
        self.list.blockSignals(True)
        self.list.clear()
        for fit in fits:
            item = QTreeWidgetItem(self.list, [fit.name, size_text(fit), came_out(fit)])
            item.setData(0, Qt.ItemDataRole.UserRole, fit.id)
            item.setToolTip(0, f"{fit.name}\n{outcome_text(fit)}".strip())
            if (chosen and fit.id == chosen.id) or not self.list.currentItem():
                self.list.setCurrentItem(item)
        self.list.blockSignals(False)
        rows = min(max(len(fits), ROWS_SHOWN[0]), ROWS_SHOWN[1])
        self.list.setFixedHeight(round(self.fontMetrics().height() * 1.5 * (rows + 1)))
        self.list.setVisible(bool(fits))
        self._follow_choice()

    @property
    def chosen(self) -> Fit | None:
        """The dimension that is marked in the list."""
        item = self.list.currentItem()
        ident = item.data(0, Qt.ItemDataRole.UserRole) if item else ""
        fits = self._part.fits if self._part else ()
        return next((fit for fit in fits if fit.id == ident), None)

    def _follow_choice(self) -> None:
        fit = self.chosen
        for button in (self.change, self.coupon, self.measure, self.remove):
            button.setVisible(fit is not None)
        busy = self._asked is not None
        self.coupon.setEnabled(fit is not None and not busy and not self._has_coupon(fit))
        self.told.say(outcome_text(fit) if fit else phrase("fits-none"))
        self._view.update()

    def _has_coupon(self, fit: Fit) -> bool:
        session, stem = self._desk.session, coupon_id(self._part, fit) if self._part else ""
        return session is not None and any(p.id.startswith(stem) for p in session.project.parts)

    # Picking.

    def _pick(self, on: bool) -> None:
        self._view.let_pick(on=on)
        if not on:
            self.picking.hide()
            self._view.mark(None)
            self._desk.errands.drop(self._asked)
            self._asked = None
            return
        session = self._desk.session
        look = session.look_request(self._part.id) if session and self._part else None
        self._open(self.picking, self.picking.begin)
        if look is not None:
            self._asked = self._desk.errands.ask(
                FeaturesRequest.of(look), self._offer, failed=self._refuse
            )

    def _offer(self, got: FeaturesResponse) -> None:
        self._asked = None
        self.picking.offer(got.found)
        self.picking.list.setFocus(Qt.FocusReason.OtherFocusReason)
        self._follow_choice()

    def _refuse(self, error: Exception) -> None:
        self._asked = None
        self.picking.refuse(error_text(error))
        self._follow_choice()

    def _mark(self) -> None:
        """Show what is chosen on the solid."""
        self._view.mark(self.picking.marked)
        self._view.update()

    def _open(self, card: QWidget, begin: Callable[[], None]) -> None:
        """One card at a time."""
        for other in self.cards:
            if other is not card:
                other.hide()
        self.trouble.say("")
        begin()
        self.opened.emit(card)

    # Keeping.

    def _begin_new(self, found: Dimension, name: str) -> None:
        if self._part is not None:
            self._begin(ADD, fit_of(self._part, found, name))

    def _begin_change(self) -> None:
        if (fit := self.chosen) is not None:
            self._begin("edit-fit", fit)

    def _begin(self, label: str, fit: Fit) -> None:
        session = self._desk.session
        gates = session.project.gates if session else ()
        self._begun = label
        new = label == ADD
        self._open(self.form, lambda: self.form.begin(fit, gates, new=new))

    def _keep(self, fit: Fit) -> None:
        if self._begun == ADD and self._part is not None:
            fit = replace(fit, id=free_id(self._part, fit.name))
        if self._put(self._begun, fit):
            self.form.hide()
            self._mark_row(fit)
            self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _put(self, label: str, fit: Fit) -> bool:
        """Put a dimension into the part; a refusal stands above."""
        part = self._part
        return part is not None and self._change(label, with_fit(part, fit))

    def _change(self, label: str, part: Part) -> bool:
        done = self._desk.change(Place.PARTS, label, put_all([part]))
        self.trouble.say("") if done else self._tell_trouble(Place.PARTS)
        return done

    def _mark_row(self, fit: Fit) -> None:
        for row in range(self.list.topLevelItemCount()):
            item = self.list.topLevelItem(row)
            if item is not None and item.data(0, Qt.ItemDataRole.UserRole) == fit.id:
                self.list.setCurrentItem(item)

    def _remove(self) -> None:
        if (fit := self.chosen) is not None and self._part is not None:
            self._change("remove-fit", without_fit(self._part, fit.id))

    # The coupon, and what came of it.

    def _ask_coupon(self) -> None:
        session, part, fit = self._desk.session, self._part, self.chosen
        if session is None or part is None or fit is None:
            return
        self._ask(coupon_request(session, part.id, fit.id), self._add_coupon, "coupon-coming")

    def _ask(
        self,
        request: CouponRequest | CopyRequest,
        then: Callable[[CouponResponse], None] | Callable[[CopyResponse], None],
        code: str,
    ) -> None:
        """Have something cut in the background, and say so."""
        self._asked = self._desk.errands.ask(request, then, failed=self._refuse_coupon)
        self._follow_choice()
        self.told.say(phrase(code))

    def _add_coupon(self, got: CouponResponse) -> None:
        self._asked, session = None, self._desk.session
        if session is None:
            return
        planned = got.planned
        if self._desk.attempt(Place.PARTS, lambda: add_coupon(session, planned)):
            first = next(iter(planned.estimates.values()))
            self._follow_choice()
            code = "coupon-put" if planned.edit.look else "coupon-put-loose"
            self.told.say(phrase(code, time=duration(first.seconds.likely)))
            return
        self._tell_trouble(Place.PARTS)

    def _refuse_coupon(self, error: Exception) -> None:
        self._asked = None
        self._follow_choice()
        self.trouble.say(error_text(error))

    def _begin_measure(self) -> None:
        fit = self.chosen
        if fit is not None:
            session, part = self._desk.session, self._part
            gate = open_check(session, part, fit) if session and part else None
            trying = gate is not None and part is not None and tries(gate, part, fit)
            self._open(self.measuring, lambda: self.measuring.begin(fit, gate, tries=trying))

    def _note(self, fit: Fit, saying: Saying | None, draw: bool) -> None:
        session, part = self._desk.session, self._part
        if session is None or part is None:
            return
        if draw and fit.fitting_mm:
            asked = copy_request(session, part.id, fit.id, fit.fitting_mm)
            self._ask(asked, lambda got: self._draw(got, saying), "copy-coming")
        elif self._put("measure-fit", fit):
            self.measuring.hide()
            self._say(saying)

    def _draw(self, got: CopyResponse, saying: Saying | None) -> None:
        """Let the part be like the copy that fits, and tell the log of it."""
        self._asked, session = None, self._desk.session
        if session is None or not self._desk.attempt(Place.PARTS, lambda: take_copy(session, got)):
            self._follow_choice()
            self._tell_trouble(Place.PARTS)
            return
        self.measuring.hide()
        self._show_list()
        self._say(saying)

    def _say(self, saying: Saying | None) -> None:
        session = self._desk.session
        if saying is None or session is None:
            return
        if not self._desk.attempt(Place.LOG, lambda: session.tell(saying)):
            self._tell_trouble(Place.LOG)

    def _tell_trouble(self, place: Place) -> None:
        errors = self._desk.errors(place)
        self.trouble.say(" ".join(error_text(error) for error in errors))

    # What is drawn over the part.

    def _paint(self, painter: QPainter, stand: Stand, looks: Look) -> None:
        part = self._part
        if part is None:
            return
        for drawn in self._drawn(part):
            paint(painter, stand, looks, drawn, part.turn_deg)

    def _drawn(self, part: Part) -> list[Drawn]:
        """The dimensions that are kept, the marked one last; above all what is being measured."""
        chosen, picked = self.chosen, self.picking.dimension if self.picking.isVisible() else None
        fits = sorted(part.fits, key=lambda fit: fit is chosen)
        drawn = [drawn_of(fit, shown(fit), strong=fit is chosen and picked is None) for fit in fits]
        return [*drawn, measured_drawn(picked)] if picked else drawn
