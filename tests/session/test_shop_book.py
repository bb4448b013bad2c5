"""Changing the shop from an open project: saved, undone, and kept apart from what others write."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabsched.files.resources import resource
from fabsched.files.shop_toml import parse_shop, user_shop
from fabsched.model.errors import Fault, InputError
from fabsched.model.shop import Calendar, Place, Shop
from fabsched.session.kept_project import Topic
from fabsched.session.project_session import Session
from fabsched.session.shop_book import moved
from fabsched.session.shop_edits import (
    copied,
    fresh,
    put_record,
    title,
    way_minutes,
    with_way,
    without_record,
)
from fabsched.session.working_hours import open_hours
from tests.session.made import BERLIN, session_of

SHIPPED = resource("shop/shop.toml").read_text("utf-8")
SHOP = parse_shop(SHIPPED)


@pytest.fixture(autouse=True)
def _own_config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave no shop of the user's behind."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """An open project without a shop file."""
    return session_of(tmp_path, "lid.stl")


def test_the_first_change_makes_the_users_own_file(session: Session) -> None:
    """The shipped one stays; undo takes the file away again, redo brings it back to the letter."""
    assert session.shops.is_shipped
    told: list[Topic] = []
    session.subscribe(told.append)
    session.change_shop("shop-edit", with_way("home", "workshop", 40))
    assert resource("shop/shop.toml").read_text("utf-8") == SHIPPED
    text = user_shop().read_text("utf-8")
    assert text == SHIPPED.replace("minutes = 25 ", "minutes = 40 ")
    assert way_minutes(session.shop, "workshop", "home") == 40
    assert (session.undo_label, session.shops.path) == ("shop-edit", user_shop())
    session.undo()
    assert (user_shop().exists(), session.shop, session.undo_label) == (False, SHOP, None)
    session.redo()
    assert user_shop().read_text("utf-8") == text
    assert told == [Topic.SHOP] * 3


def test_a_file_beside_the_project_is_changed_there(session: Session) -> None:
    """Steps of project and shop are taken back in their order, each file to the letter."""
    own = session.folder / "shop.toml"
    own.write_text(SHIPPED)
    session.change_shop("shop-add", put_record("place", Place(id="lab", name="Lab")))
    first = own.read_text()
    session.remove(["lid"])
    session.change_shop("shop-remove", without_record("spool", "petg"))
    assert not user_shop().exists()
    assert "petg" not in own.read_text()
    session.undo()
    assert own.read_text() == first
    session.undo()
    assert [part.id for part in session.project.parts] == ["lid"]
    session.undo()
    assert own.read_text() == SHIPPED


def test_what_others_wrote_since_stays(session: Session) -> None:
    """Undo then changes only what the step was about."""
    own = session.folder / "shop.toml"
    own.write_text(SHIPPED)
    session.change_shop("shop-edit", with_way("home", "workshop", 40))
    own.write_text(own.read_text().replace("mass_g = 1000", "mass_g = 300", 1))
    session.undo()
    assert own.read_text() == SHIPPED.replace("mass_g = 1000", "mass_g = 300", 1)
    assert session.shop.spools[0].mass_g == 300
    session.redo()
    assert way_minutes(session.shop, "home", "workshop") == 40


def test_undo_goes_to_the_file_that_was_changed(session: Session) -> None:
    """Another file that counts meanwhile is left alone, even where the changed one is no more as it was."""
    session.change_shop("shop-edit", with_way("home", "workshop", 40))
    own = session.folder / "shop.toml"
    own.write_text('[[place]]\nid = "cellar"\n')
    user_shop().write_text(user_shop().read_text().replace("mass_g = 1000", "mass_g = 300", 1))
    session.undo()
    assert [place.id for place in session.shop.places] == ["cellar"]
    assert own.read_text() == '[[place]]\nid = "cellar"\n'
    assert user_shop().read_text() == SHIPPED.replace("mass_g = 1000", "mass_g = 300", 1)


def test_a_calendar_that_changes_is_taken_in(session: Session) -> None:
    """Like the shop file itself: whoever shows the shop is told."""
    (session.folder / "shop.toml").write_text('[[place]]\nid = "lab"\nbusy = "lab.ics"\n')
    text = "BEGIN:VCALENDAR\nBEGIN:VEVENT\nDTSTART;VALUE=DATE:20261024\nEND:VEVENT\nEND:VCALENDAR\n"
    (session.folder / "lab.ics").write_text(text)
    session.reload_shop()
    told: list[Topic] = []
    session.subscribe(told.append)
    session.reload_shop()
    (session.folder / "lab.ics").write_text(text.replace("24", "25"))
    session.reload_shop()
    assert told == [Topic.SHOP]


def test_a_change_that_breaks_the_shop_is_refused(session: Session) -> None:
    """Nothing is written, and there is nothing to undo."""
    with pytest.raises(InputError) as caught:
        session.change_shop("shop-remove", without_record("place", "home"))
    assert caught.value.code is Fault.NAME_UNKNOWN
    assert (session.shop, session.undo_label, user_shop().exists()) == (SHOP, None, False)


def test_an_edit_that_changes_nothing_is_no_step(session: Session) -> None:
    """No file is made for it."""
    session.change_shop("shop-edit", with_way("home", "workshop", 25))
    assert session.undo_label is None
    assert not user_shop().exists()


KINDS = ["place", "person", "printer", "laser", "spool", "sheet"]


@pytest.mark.parametrize("kind", KINDS)
def test_new_ones_and_copies_can_be_written(session: Session, kind: str) -> None:
    """A fresh record of each kind is sound, so is its copy; undo takes both away."""
    made = fresh(kind, "Something new", session.shop)
    session.change_shop("shop-add", put_record(kind, made))
    other = copied(made, session.shop)
    session.change_shop("shop-add", put_record(kind, other))
    assert title(other) == "Something new 2"
    session.undo()
    session.undo()
    assert session.shop == SHOP


def test_with_a_place_go_its_ways() -> None:
    """The ways to it are taken out, others stay."""
    lab = put_record("place", Place(id="lab", name="Lab"))(SHOP)
    both = with_way("lab", "home", 5)(lab)
    assert [way.between for way in without_record("place", "lab")(both).travels] == [
        ("home", "workshop")
    ]
    assert with_way("home", "lab", None)(both).travels == SHOP.travels


@given(names=st.lists(st.sampled_from("abcde"), max_size=5, unique=True), minutes=st.data())
def test_moving_over_and_back_changes_nothing(names: list[str], minutes: st.DataObject) -> None:
    """Whatever else a shop holds, a change made to it and taken back leaves its records."""

    def some(ids: str) -> Shop:
        hours = st.sampled_from(["24/7", "off"])
        return Shop(
            places=tuple(Place(id=i, name=i, hours=minutes.draw(hours)) for i in names if i in ids)
        )

    before, after = some("abc"), some("bcd")
    extra = Place(id="x", name="x")
    shop = replace(before, places=(extra, *before.places))
    there = moved(shop, before, after)
    assert {*there.places} == {extra, *after.places}
    assert {*moved(there, after, before).places} == {*shop.places}


def test_busy_times_are_taken_out_of_hours() -> None:
    """A place that is always open is closed on a day its calendar says so."""
    event = "BEGIN:VEVENT\nDTSTART;VALUE=DATE:20261024\nEND:VEVENT"
    text = f"BEGIN:VCALENDAR\n{event}\nEND:VCALENDAR\n"
    place = Place(id="lab", name="Lab", busy=Calendar(file="a.ics", text=text))
    midnight = 1_792_792_800  # 2026-10-24 00:00 in Berlin
    found = open_hours(place, BERLIN, midnight - 3600, midnight + 90_000)
    assert found.spans == ((midnight - 3600, midnight), (midnight + 86_400, midnight + 90_000))
