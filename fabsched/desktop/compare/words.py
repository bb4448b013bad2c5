"""What is said of ways to make a part. No Qt here."""

from collections.abc import Iterator

from fabsched.desktop.words import capital
from fabsched.session.clock import duration
from fabsched.session.noticed import say
from fabsched.session.way_records import Figures, Glue, Sag, ShownWay, WaysResponse
from fabsched.session.wording import (
    adopting,
    figure,
    loose,
    money,
    near,
    numbers_text,
    phrase,
    pointed,
    share,
    verdict,
)

MM2_CM2 = 100.0
"""Square millimetres in a square centimetre."""


def way_name(way: ShownWay) -> str:
    """What a way is called."""
    if not way.pick:
        return phrase("way-whole")
    numbers = numbers_text(number + 1 for number in way.pick)
    return phrase("way-some" if len(way.pick) == 1 else "way-more", numbers=numbers)


def way_rows(way: ShownWay, currency: str) -> Iterator[tuple[str, str]]:
    """Name and value of all that speaks for and against a way."""
    if way.hindered is not None:
        yield phrase("way-hindered"), say(way.hindered)
    if way.figures is None:
        return
    error = max(1, round(100 * way.standard_error))
    yield phrase("fact-on-time"), phrase("within", share=share(way.on_time), error=error)
    yield from _risk(way.figures)
    yield from _effort(way.figures, currency)
    yield from ((phrase("fact-gives", plate=sag.plate), sag_text(sag, way)) for sag in way.sags)
    for plate, why in way.untold:
        yield phrase("fact-gives", plate=plate), phrase("loose", why=loose(why))
    yield from ((phrase("fact-glue", plate=glue.plate), glue_text(glue)) for glue in way.glue)
    for plate in way.parted_by:
        yield phrase("fact-parted"), phrase("parted-line", plate=plate)
    if way.changes:
        told = (adopting(change.code, change.facts) for change in way.changes)
        yield phrase("fact-changes"), "; ".join(told)
    if way.crumbs_mm3:
        yield phrase("fact-crumbs"), phrase("crumbs-line", volume=way.crumbs_mm3)
    if way.screws:
        told = (f"{count} \u00d7 {pointed(screw)}" for screw, count in way.screws)
        yield phrase("fact-screws"), ", ".join(told)


def overview_heads() -> tuple[str, ...]:
    """Headings of the table of all ways."""
    return (
        phrase("head-way"),
        phrase("head-on-time"),
        phrase("head-lost"),
        phrase("head-printing"),
        phrase("head-hands"),
        phrase("head-cost"),
        phrase("head-gives"),
        phrase("head-warp"),
    )


def overview_row(way: ShownWay, currency: str) -> tuple[str, ...]:
    """What counts most of a way, under these headings."""
    numbers = numbers_text(number + 1 for number in way.pick)
    name = phrase("variant-whole")
    if way.pick:
        one = len(way.pick) == 1
        name = phrase("variant-plate" if one else "variant-plates", numbers=numbers)
    if way.figures is None:
        return capital(name), phrase("way-hindered"), *[""] * 6
    figures = way.figures
    sags = [sag.sag_mm for sag in way.sags]
    return (
        capital(name),
        share(way.on_time),
        duration(figures.lost_p90_s),
        duration(figures.printing_s),
        duration(figures.hands_s),
        "" if figures.cost is None else money(figures.cost, currency),
        f"{figure(max(sags), 1)} mm" if sags else phrase("gives-none") if way.untold else "",
        _warp(figures.warp),
    )


def _risk(figures: Figures) -> Iterator[tuple[str, str]]:
    yield phrase("fact-fails"), share(figures.fails)
    lost, most = duration(figures.lost_mean_s), duration(figures.lost_p90_s)
    # a rare long print among many short cuts
    usual = figures.lost_mean_s <= figures.lost_p90_s
    template = "failure-costs" if usual else "failure-costs-rare"
    yield phrase("fact-failure"), phrase(template, mean=lost, most=most)


def _effort(figures: Figures, currency: str) -> Iterator[tuple[str, str]]:
    if figures.printing_s:
        yield phrase("fact-printing"), duration(figures.printing_s)
    if figures.cutting_s:
        yield phrase("fact-cutting"), duration(figures.cutting_s)
    yield phrase("fact-hands"), duration(figures.hands_s)
    yield phrase("fact-plastic"), f"{figures.mass_g:.0f} g"
    if figures.sheet_mm2:
        yield phrase("fact-sheet"), f"{figures.sheet_mm2 / MM2_CM2:.0f} cm\u00b2"
    if figures.cost is not None:
        yield phrase("fact-cost"), money(figures.cost, currency)
    yield phrase("fact-trips"), str(figures.trips)
    yield phrase("fact-warp"), _warp(figures.warp) or phrase("nothing-printed")


def sag_text(sag: Sag, way: ShownWay) -> str:
    """How far a plate gives, and where a boss would help."""
    text = phrase("gives", sag=figure(sag.sag_mm, 2), force=way.press_n)
    if sag.loaded_mm is not None:
        text = f"{text}, {phrase('gives-loaded', sag=figure(sag.loaded_mm, 2))}"
    if not sag.bosses:
        return text
    places = ", ".join(f"{x:.0f} \u00d7 {y:.0f}" for x, y, _ in sag.bosses)
    return f"{text}; {phrase('bosses-line', places=places, sag=figure(sag.bosses[-1][2], 2))}"


def glue_text(glue: Glue) -> str:
    """What the glue of a plate would bear, and whether that is too much for it."""
    return phrase(
        "glue-bears" if glue.holds else "glue-fails",
        stress=figure(glue.stress_mpa, 2),
        area=round(glue.area_mm2),
        allowed=glue.allowed_mpa,
    )


def verdict_text(found: WaysResponse) -> str:
    """What the comparison comes to."""
    return verdict(found.code, found.facts)


def plate_lines(found: WaysResponse) -> Iterator[str]:
    """The plates that were found, then what is nearly one."""
    for number, (sheet_mm, area_mm2) in enumerate(found.plates, start=1):
        yield phrase("plate-line", number=number, sheet=sheet_mm, area=round(area_mm2))
    for miss in found.misses:
        why, size = capital(near(miss.code, miss.facts)), round(miss.area_mm2)
        if miss.number is None:
            yield phrase("near-line", size=size, why=why)
        else:
            yield phrase("adoptable-line", number=miss.number, size=size, why=why)


def _warp(level: str) -> str:
    """A warp level in words; empty stays empty."""
    return phrase(f"warp-{level}") if level else ""
