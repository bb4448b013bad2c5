"""What is said of a test cut. No Qt here."""

from collections.abc import Iterator, Mapping

from fabsched.estimate.cut_settings import cut_speeds
from fabsched.model.errors import InputError
from fabsched.model.ladder import Ladder
from fabsched.model.materials import CutSetting
from fabsched.model.shop import Laser, Shop
from fabsched.session.clock import duration
from fabsched.session.ladder_request import LadderResponse
from fabsched.session.wording import figure, phrase, pointed, sides_text


def ladder_lines(got: LadderResponse) -> Iterator[str]:
    """How large it is, how long it takes, and what each square tries."""
    ladder = got.ladder
    size = sides_text(got.size_mm)
    yield phrase("ladder-drawn", size=size, time=duration(got.seconds))
    feeds = ", ".join(f"{n}: {figure(feed)}" for n, feed in enumerate(ladder.feeds_mm_s, start=1))
    yield phrase("ladder-feeds", feeds=feeds, passes=ladder.passes)
    yield phrase("ladder-drag")


def ladder_name(ladder: Ladder, lasers: Mapping[str, str]) -> str:
    """Which ladder is asked about."""
    return phrase(
        "ladder-asked",
        material=ladder.material,
        thickness=figure(ladder.thickness_mm),
        laser=lasers.get(ladder.laser, ladder.laser),
        low=figure(ladder.feeds_mm_s[0]),
        high=figure(ladder.feeds_mm_s[-1]),
    )


def outcome_lines(ladder: Ladder, setting: CutSetting) -> Iterator[str]:
    """Feed and kerf that follow."""
    feed = setting.feed_mm_s
    yield phrase(
        "ladder-result",
        material=ladder.material,
        thickness=figure(setting.thickness_mm),
        power=figure(setting.power_w),
        feed=figure(feed.likely),
        low=figure(feed.low),
        high=figure(feed.high),
        kerf=figure(setting.kerf_mm),
    )


def until_now(shop: Shop, ladder: Ladder) -> Iterator[str]:
    """What counted until now; nothing where nothing is known."""
    lasers = [laser for laser in shop.lasers if laser.id == ladder.laser]
    materials = [m for m in shop.sheet_materials if m.id == ladder.material]
    try:
        for laser, material in zip(lasers, materials, strict=False):
            speeds = cut_speeds(laser, material, ladder.thickness_mm, where=ladder.material)
            feed, kerf = pointed(f"{speeds.feed_mm_s.likely:.3g}"), figure(speeds.kerf_mm)
            yield phrase("ladder-before", feed=feed, kerf=kerf)
    except InputError:
        return


def watch_text(laser: Laser) -> str:
    """What hands do at the laser once it has cut."""
    return phrase(
        "testcut-watch",
        watch=figure(laser.watch_minutes),
        clear=figure(laser.clear_minutes),
        clean=figure(laser.clean_minutes),
    )
