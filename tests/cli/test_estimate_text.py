"""What of estimates people read in a terminal."""

import re
from dataclasses import replace

import pytest

from fabsched.cli.estimate_text import print_estimates
from fabsched.estimate.raising import MOST
from fabsched.model.estimates import Estimate, Route, Warp, WarpLevel
from fabsched.model.findings import Finding, Remark
from fabsched.model.spread import Spread
from fabsched.session import language

FIRM = Warp(level=WarpLevel.LOW, span_mm=40, contact_mm2=900.0, thickness_mm=5, corners=4)
FLAT = Estimate(
    route=Route.PRINT,
    machine="printer",
    stock="PLA",
    seconds=Spread(3000, 3600, 4500),
    breakdown_s={"walls": 3600.0},
    cost=None,
    footprint_mm=(30, 30),
    height_mm=30.0,
    contact_mm2=900.0,
    warp=FIRM,
)
CURLING = replace(FLAT, warp=replace(FIRM, level=WarpLevel.MEDIUM))
WORST = replace(
    FLAT,
    warp=replace(FIRM, level=WarpLevel.HIGH),
    height_mm=300.0,
    contact_mm2=100.0,
    findings=(Finding(code=Remark.THIN_WALLS, where="mast", facts={"mm": 0.3}),),
)
CUT = replace(FLAT, route=Route.CUT, warp=None, contact_mm2=None, height_mm=None)


def told(text: str) -> list[str]:
    """Sentences about failing more often, put together again where the terminal breaks them."""
    return re.findall(r"\w+: (?:prints like it|solche Drucke)[^)]*\)", " ".join(text.split()))


def test_prints_that_fail_more_often_are_told_with_the_reason(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """One line for each such part, none for prints as usual and for cuts; the bound is kept."""
    print_estimates([("Lid", FLAT), ("Plate", CURLING), ("Base", CUT), ("Mast", WORST)], "EUR")
    plate, mast = told(capsys.readouterr().out)
    assert plate == (
        "Plate: prints like it fail 1.5 times as often as others "
        "(may curl off the bed; factor assumed)"
    )
    assert mast == (
        f"Mast: prints like it fail {MOST:.1f} times as often as others (may curl off the bed, "
        "stands high on little, walls thinner than a bead; factor assumed)"
    )


def test_it_is_told_in_german_too(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The line, its reason and its decimal sign are those of the language."""
    monkeypatch.setenv(language.VARIABLE, "de")
    print_estimates([("Deckel", FLAT), ("Platte", CURLING)], "EUR")
    (line,) = told(capsys.readouterr().out)
    assert line == (
        "Platte: solche Drucke misslingen 1,5-mal so oft wie andere "
        "(kann sich vom Bett lösen; Faktor angenommen)"
    )
