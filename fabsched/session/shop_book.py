"""The shop file that counts for a project: read, changed, and brought back.

A shop is what a maker has, whatever is being made: the first change of the shipped one becomes the
user's own file, which then counts for all projects without one beside them. (Test cuts are noted
there, too.) The shipped file is never changed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from fabsched.files.access import told
from fabsched.files.resources import resource
from fabsched.files.shop_edit import save_shop_text, shop_text_with, shop_text_without
from fabsched.files.shop_text import LISTS, Record, keys_of, records_of, shop_text, with_records
from fabsched.files.shop_toml import SHOP_FILE, find_shop, read_shop, user_shop
from fabsched.files.toml_source import read_text
from fabsched.model.errors import Fault
from fabsched.model.materials import CutSetting
from fabsched.model.shop import Shop

ShopEdit = Callable[[Shop], Shop]
"""From a shop to the next; pure, so that it can be tried."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A shop file at some time.

    Attributes:
        text: what stood in it; None while there was none.
        shop: what that came to.
    """

    text: str | None
    shop: Shop


@dataclass(frozen=True, slots=True)
class ShopChange:
    """One change of a shop file.

    Attributes:
        path: which file.
        before, after: what it was around the change.
    """

    path: Path
    before: Kept
    after: Kept

    @property
    def back(self) -> "ShopChange":
        """The change the other way round."""
        return ShopChange(self.path, self.after, self.before)


class ShopBook:
    """The shop of one project folder."""

    def __init__(self, folder: Path) -> None:
        """Read it.

        Raises:
            InputError: the shop file is at fault.
        """
        self._folder = folder
        self.path = find_shop(folder)
        self.shop = read_shop(self.path, folder)

    @property
    def is_shipped(self) -> bool:
        """Whether nobody has a shop file of their own yet."""
        return self.path == resource(f"shop/{SHOP_FILE}")

    @property
    def target(self) -> Path:
        """The file a change is written to."""
        return user_shop() if self.is_shipped else self.path

    def reload(self) -> bool:
        """Look for the shop file again and read it.

        Returns:
            Whether the shop is another one now.

        Raises:
            InputError: it is at fault; the shop stays as it was.
        """
        path = find_shop(self._folder)
        shop = read_shop(path, self._folder)
        changed = shop != self.shop
        self.path, self.shop = path, shop
        return changed

    def change(self, edit: ShopEdit) -> ShopChange | None:
        """Apply an edit and save it.

        Returns:
            What was done; None if the edit changes nothing.

        Raises:
            InputError: the result would be no sound shop, or cannot be saved; then nothing has
                changed.
        """
        before = self.shop
        wanted = edit(before)
        if wanted == before:
            return None
        text, target = read_text(self.path, SHOP_FILE), self.target
        new = shop_text(wanted, text, target.parent)
        kept = Kept(None if self.is_shipped else text, before)
        self._write(target, new)
        return ShopChange(target, kept, Kept(new, self.shop))

    def note_cut(self, material: str, setting: CutSetting) -> ShopChange:
        """Note the outcome of a test cut and save it.

        Args:
            material: id of the sheet material.
            setting: what was measured.

        Raises:
            InputError: it cannot be put in, or cannot be saved; then nothing has changed.
        """
        before, target = self.shop, self.target
        text = read_text(self.path, SHOP_FILE)
        new = shop_text_with(text, material, setting)
        kept = Kept(None if self.is_shipped else text, before)
        self._write(target, new)
        return ShopChange(target, kept, Kept(new, self.shop))

    def carry_out(self, change: ShopChange) -> None:
        """Do a change again, or the other way round.

        A file that is as the change found it becomes what the change made of it, to the letter. In
        one that somebody else wrote to since, only the records are changed that the change was about.

        Raises:
            InputError: that would be no sound shop, or cannot be saved; then nothing has changed.
        """
        path = change.path
        now = read_text(path, SHOP_FILE) if path.exists() else None
        if now == change.before.text:
            text = change.after.text
        else:
            source = resource(f"shop/{SHOP_FILE}") if now is None else path
            wanted = moved(read_shop(source), change.before.shop, change.after.shop)
            text = shop_text(wanted, read_text(source, SHOP_FILE), path.parent)
            text = _with_cuts(text, change)
        self._write(path, text)

    def _write(self, path: Path, text: str | None) -> None:
        """Put a file in place, or take it away again."""
        if text is None:
            with told(str(path), Fault.FILE_UNWRITABLE):
                path.unlink(missing_ok=True)
        else:
            save_shop_text(path, text)
        self.reload()


def _with_cuts(text: str, change: ShopChange) -> str:
    """The text with the outcomes of test cuts changed that a change was about."""
    was, shall = _measured(change.before.shop), _measured(change.after.shop)
    for material, setting in was:
        if (material, setting) not in shall:
            text = shop_text_without(text, material, setting)
    for material, setting in shall:
        if (material, setting) not in was:
            text = shop_text_with(text, material, setting)
    return text


def _measured(shop: Shop) -> list[tuple[str, CutSetting]]:
    """Own cut settings, each with the id of its material."""
    return [(m.id, s) for m in shop.sheet_materials for s in m.settings if s.measured is not None]


def moved(shop: Shop, before: Shop, after: Shop) -> Shop:
    """A shop with the records changed that differ between two others.

    >>> from fabsched.model.shop import Place
    >>> one, two, three = (Place(id=name, name=name) for name in "abc")
    >>> moved(Shop(places=(one, two)), Shop(places=(one,)), Shop(places=(three,))).places == (
    ...     two,
    ...     three,
    ... )
    True
    """
    for kind in LISTS:
        was, shall = records_of(before, kind), records_of(after, kind)
        now = records_of(shop, kind)
        shop = with_records(shop, kind, shall if now == was else _moved(now, was, shall))
    return shop


def _moved(
    now: Sequence[Record], was: Sequence[Record], shall: Sequence[Record]
) -> Sequence[Record]:
    """Records of one kind with the changes made to them; what comes back comes last."""
    if was == shall:
        return now
    old, new = (dict(zip(keys_of(side), side, strict=True)) for side in (was, shall))
    present = dict(zip(keys_of(now), now, strict=True))
    for key in old.keys() - new.keys():
        present.pop(key, None)
    present.update({key: record for key, record in new.items() if record != old.get(key)})
    return tuple(present.values())
