"""A project and its shop as they stand in their files: changed, undone, and told about.

Every change is saved at once. What others write to the files meanwhile is taken in first.
"""

from collections.abc import Callable, Iterable
from datetime import datetime
from enum import StrEnum
from pathlib import Path

from fabsched.files.project_edit import project_text, save_project_text
from fabsched.files.project_toml import parse_project, read_project_text
from fabsched.model.errors import InputError
from fabsched.model.materials import CutSetting
from fabsched.model.project import Project
from fabsched.model.shop import Shop
from fabsched.session import edits
from fabsched.session.history import History, Step
from fabsched.session.shop_book import ShopBook, ShopChange, ShopEdit


class Topic(StrEnum):
    """What a subscriber is told has changed."""

    PROJECT = "project"
    SHOP = "shop"
    ESTIMATES = "estimates"
    ANSWER = "answer"
    LOG = "log"


Subscriber = Callable[[Topic], None]
"""Called after a change, on the thread that made it."""


class KeptProject:
    """A project folder's `project.toml` and the shop file that counts for it."""

    def __init__(self, folder: Path, text: str) -> None:
        """Take in a project folder whose `project.toml` holds `text`.

        Raises:
            InputError: `project.toml` or the shop file is at fault.
        """
        self._folder = folder
        self._text = text
        self._project = parse_project(text, folder.name)
        self._shops = ShopBook(folder)
        self._history = History()
        self._subscribers: list[Subscriber] = []

    @property
    def folder(self) -> Path:
        """The project folder."""
        return self._folder

    @property
    def project(self) -> Project:
        """The project as it is now."""
        return self._project

    @property
    def shop(self) -> Shop:
        """The shop it is made in."""
        return self._shops.shop

    @property
    def shops(self) -> ShopBook:
        """The shop file; it is changed by `change_shop`."""
        return self._shops

    def subscribe(self, callback: Subscriber) -> Callable[[], None]:
        """Call back after every change; call the result to stop that."""
        self._subscribers.append(callback)
        return lambda: self._subscribers.remove(callback)

    # What changes it.

    @property
    def undo_label(self) -> str | None:
        """Key in the wording table's `[edit]` of what `undo` takes back; None if nothing."""
        return self._history.undo_label

    @property
    def redo_label(self) -> str | None:
        """Key in the wording table's `[edit]` of what `redo` does again; None if nothing."""
        return self._history.redo_label

    def change(self, label: str, edit: edits.Edit) -> None:
        """Apply an edit, save it and note it for undo. An edit that changes nothing is dropped.

        Args:
            label: key of the wording table's `[edit]`.
            edit: from the project to the next.

        Raises:
            InputError: the result would not be a sound project, or cannot be saved; then nothing
                has changed.
        """
        self.sync()
        before, after, text = self._project, self._as_filed(edit(self._project)), self._text
        if after != before:
            after = self._settle(after)
            self._history.push(Step(label, before, after, texts=(text, self._text)))
            self._tell(Topic.PROJECT)

    def change_shop(self, label: str, edit: ShopEdit) -> None:
        """Apply an edit to the shop, save it and note it for undo; see `change`.

        Args:
            label: key of the wording table's `[edit]`.
            edit: from the shop to the next.

        Raises:
            InputError: the result would not be a sound shop, or cannot be saved; then nothing has
                changed.
        """
        self.sync()
        self.reload_shop()
        if (done := self._shops.change(edit)) is not None:
            self._history.push(Step(label, self._project, self._project, done))
            self._shop_changed()

    def change_both(
        self, label: str, edit: edits.Edit, shop_edit: ShopEdit, *, told: int = 0
    ) -> None:
        """Apply an edit to the project and one to the shop as one step; see `change`.

        Args:
            label: key of the wording table's `[edit]`.
            edit: from the project to the next.
            shop_edit: from the shop to the next.
            told: how many entries of the log belong to the step.

        Raises:
            InputError: the result would not be sound, or cannot be saved; then nothing has changed.
        """
        self.sync()
        self.reload_shop()
        before, after, text = self._project, self._as_filed(edit(self._project)), self._text
        done = self._shops.change(shop_edit)
        try:
            after = self._settle(after) if after != before else before
        except InputError:
            if done is not None:
                self._shops.carry_out(done.back)
            raise
        if done is not None or after != before or told:
            self._history.push(Step(label, before, after, done, (text, self._text), told))
            self._shop_changed()
            self._tell(Topic.PROJECT)

    def note_cut(self, material: str, setting: CutSetting) -> None:
        """Note the outcome of a test cut in the shop, save it and note it for undo.

        Args:
            material: id of the sheet material.
            setting: what was measured.

        Raises:
            InputError: it cannot be put in, or cannot be saved; then nothing has changed.
        """
        self.sync()
        self.reload_shop()
        done = self._shops.note_cut(material, setting)
        self._history.push(Step("test-cut", self._project, self._project, done))
        self._shop_changed()

    def undo(self) -> None:
        """Take the last change back, of project or shop; does nothing if there is none.

        Raises:
            InputError: it cannot be taken back any more; then nothing has changed.
        """
        self.sync()
        if (step := self._history.peek_back()) is not None:
            self._go(step.before, step.shop.back if step.shop else None, step.texts[::-1])
            self._history.back()
            self._tell_of(step)

    def redo(self) -> None:
        """Do the change taken back last again; does nothing if there is none.

        Raises:
            InputError: it cannot be done any more; then nothing has changed.
        """
        self.sync()
        if (step := self._history.peek_forth()) is not None:
            self._go(step.after, step.shop, step.texts)
            self._history.forth()
            self._tell_of(step)

    def _tell_of(self, step: Step) -> None:
        if step.shop:
            self._tell(Topic.SHOP)
        if not step.shop or step.before != step.after:
            self._tell(Topic.PROJECT)

    def _go(self, project: Project, shop: ShopChange | None, texts: tuple[str, str]) -> None:
        """Make a project the present one, or change the shop file.

        The file says again what it said, to the letter, unless somebody else has written to it since.
        """
        if shop is not None:
            self.reload_shop()
            self._shops.carry_out(shop)
            self._outdate()
        if shop is None or project != self._project:
            self._settle(project, texts[1] if texts[0] == self._text else "")

    def _shop_changed(self) -> None:
        self._outdate()
        self._tell(Topic.SHOP)

    def sync(self) -> None:
        """Take in what somebody else wrote to `project.toml`, as a step that can be undone.

        Raises:
            InputError: the file is now at fault.
        """
        text = read_project_text(self._folder)
        if text == self._text:
            return
        before, after = self._project, parse_project(text, self._folder.name)
        texts = (self._text, text)
        self._text, self._project = text, after
        if after != before:
            self._outdate()
            self._history.push(Step("outside", before, after, texts=texts))
            self._tell(Topic.PROJECT)

    def reload_shop(self) -> None:
        """Look for the shop file again and read it.

        Raises:
            InputError: the shop file is at fault; the shop stays as it was.
        """
        if self._shops.reload():
            self._shop_changed()

    def remove(self, ids: Iterable[str]) -> None:
        """Take parts, work and gates out. Their files stay, so that undo brings everything back."""
        self.change("remove", edits.without(ids))

    def set_deadline(self, deadline: datetime) -> None:
        """Set the deadline; a naive time is taken in the project's zone."""
        self.change("deadline", edits.with_deadline(deadline))

    def _as_filed(self, project: Project) -> Project:
        """What of an edited project belongs into its file."""
        return project

    def _settle(self, project: Project, text: str = "") -> Project:
        """Save a project and make it the present one, as it will be read again.

        Args:
            project: what the file shall say.
            text: that says so; empty changes the file as it stands as little as possible.
        """
        text = text or project_text(project, self._text, self._folder.name)
        settled = parse_project(text, self._folder.name)
        save_project_text(self._folder, text)
        self._text, self._project = text, settled
        self._outdate()
        return settled

    def _tell(self, topic: Topic) -> None:
        for callback in tuple(self._subscribers):
            callback(topic)

    def _outdate(self) -> None:
        """Called whenever project or shop become others than they were, before anybody is told."""
