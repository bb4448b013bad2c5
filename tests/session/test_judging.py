"""How right what was foretold has been: figures by hand, verdicts, and sentences that are honest."""

import re
from dataclasses import replace

import pytest

from fabsched.model.estimates import Route
from fabsched.model.experience import LookSeen, RunSeen
from fabsched.model.shop import Laser, Printer, Shop
from fabsched.session.judged_records import Judged, Learnt, Timed, Verdict
from fabsched.session.judged_words import judged_lines, learnt_lines, learnt_told
from fabsched.session.judging import FEW_PROJECTS, judged, learnt
from fabsched.session.knowledge import NOTHING_KNOWN, knowledge_of
from fabsched.session.language import VARIABLE
from tests.session.judged_seen import project_seen, run_seen, several, work_seen


def test_nothing_finished_yet() -> None:
    """An empty experience is told as such."""
    found = judged(())
    assert found == Judged()
    (line,) = judged_lines(found)
    assert line.startswith("Nothing that was foretold has been finished yet")


def test_times_are_sorted_by_whose_they_are() -> None:
    """Prints, cuts and work each have their own plot, in that order."""
    seen = [*work_seen(0, 100.0), *run_seen(1, 100.0, Route.CUT), *run_seen(2, 100.0)]
    assert [each.sort for each in judged(seen).times] == [Timed.PRINT, Timed.CUT, Timed.WORK]
    assert [each.count for each in judged(seen).times] == [1, 1, 1]


def test_figures_by_hand() -> None:
    """Eight of ten prints inside, half of them longer; the Brier score of 0.9 hit and 0.6 missed."""
    prints, works = judged(several()).times
    assert (prints.inside, prints.longer, prints.verdict) == (8, 5, Verdict.RIGHT)
    assert (works.inside, works.longer, works.verdict) == (0, 6, Verdict.SLOW)
    chances = judged(several()).chances
    assert chances is not None
    assert chances.brier == pytest.approx((0.1**2 + 0.6**2) / 2)
    assert chances.expected == pytest.approx((0.9 * 0.1 + 0.6 * 0.4) / 2)
    assert chances.reference == pytest.approx(0.25)
    assert (chances.count, chances.came_true, chances.few) == (2, 1, True)


@pytest.mark.parametrize(
    ("times", "verdict"),
    [
        ((110.0,) * 5, Verdict.FEW),
        ((110.0,) * 6, Verdict.SLOW),
        ((60.0,) * 6, Verdict.QUICK),
        ((60.0, 200.0) * 4, Verdict.NARROW),
        ((99.0, 101.0) * 10, Verdict.WIDE),
        ((60.0, 90.0, 95.0, 105.0, 110.0, 101.0), Verdict.RIGHT),
    ],
)
def test_verdicts(times: tuple[float, ...], verdict: Verdict) -> None:
    """Clearly wrong is only what chance would hardly bring about."""
    seen = [one for number, took_s in enumerate(times) for one in run_seen(number, took_s)]
    (found,) = judged(seen).times
    assert found.verdict is verdict


def test_few_projects_are_not_judged() -> None:
    """Below ten the sentence says that it says hardly anything."""
    ended = [project_seen(i, 0.8, came_true=i % 5 != 0) for i in range(FEW_PROJECTS)]
    few, enough = judged_lines(judged(ended[:-1])), judged_lines(judged(ended))
    assert few[-1].endswith("Resting on 9, this says hardly anything yet.")
    assert "hardly" not in enough[-1]
    assert "Brier score 0.16" in enough[-1]


def test_checks_are_told_with_what_was_expected() -> None:
    """Two faults in two checks of three in ten each: more than expected, and reckoned with as such."""
    looks = [LookSeen(key=f"log/look/fit/{i}", at_s=i, chance=0.3, found=True) for i in range(2)]
    found = learnt(knowledge_of(looks), SHOP).faults
    assert found is not None
    assert (found.looks, found.found) == (2, 2)
    assert found.expected == pytest.approx(0.6)
    assert found.factor > 1
    (line,) = learnt_lines(Learnt(faults=found), {})
    assert line.startswith("Checks: 2 of 2 found a fault, where 0.6 should have")


def test_what_the_maker_takes_out_counts_no_longer() -> None:
    """A run that was forgotten is not judged either, though its time was foretold."""
    seen = [one for one in run_seen(0, 100.0) if not isinstance(one, RunSeen)]
    assert judged(seen).times == ()


SHOP = Shop(
    printers=(Printer(id="printer", name="Printer", place="home", bed_mm=(200.0, 200.0, 200.0)),),
    lasers=(Laser(id="laser", name="Laser", place="shop", bed_mm=(600.0, 400.0)),),
)


def test_what_was_learnt_says_what_it_rests_on() -> None:
    """All work, each kind, and each machine with logged runs, with their counts."""
    assert learnt(NOTHING_KNOWN, SHOP) == Learnt()
    found = learnt(knowledge_of(several()), SHOP)
    assert [(pace.kind, pace.count) for pace in found.works] == [("", 6), ("solder", 6)]
    assert found.works[1].factor > found.works[0].factor > 1.25
    assert [(each.machine, each.runs, each.failures) for each in found.machines] == [
        ("printer", 10, 0)
    ]
    lines = [*learnt_lines(found, {"printer": "Printer"})]
    assert lines[1].startswith("Of that, solder:")
    assert "(from 6)" in lines[1]
    assert lines[2].startswith("Printer takes 1")
    assert "for PLA (10 logged)" in lines[2]
    assert lines[3].startswith("Printer: 0 of 10 runs failed")


def test_materials_are_told_apart() -> None:
    """Where runs were of several materials each has its own time and its own failures."""
    seen = [run_seen(i, 100.0 + 40.0 * (i % 2))[0] for i in range(6)]
    apart = [
        replace(one, material=("PLA", "PETG")[i % 2], failed=i == 5)
        for i, one in enumerate(seen)
        if isinstance(one, RunSeen)
    ]
    found = learnt(knowledge_of(apart), SHOP)
    assert [(each.material, each.count) for each in found.timings] == [("PETG", 2), ("PLA", 3)]
    assert found.timings[0].factor > found.timings[1].factor
    rows = [(each.material, each.runs, each.failures) for each in found.machines]
    assert rows == [("", 6, 1), ("PETG", 3, 1), ("PLA", 3, 0)]
    assert found.machines[1].start > found.machines[2].start
    told = [*learnt_told(found, {"printer": "Printer"})]
    assert [each.name for each in told] == ["PETG", "PLA", "printer", "PETG", "PLA"]


@pytest.mark.parametrize("tongue", ["en", "de"])
def test_one_is_told_as_rightly_as_several(tongue: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No verb stands beside a count: what is said of one would be wrong of many, or the other way."""
    monkeypatch.setenv(VARIABLE, tongue)
    seen = [*run_seen(0, 100.0), *run_seen(1, 100.0, Route.CUT), *work_seen(2, 100.0)]
    *times, odds = judged_lines(judged([*seen, project_seen(0, 0.8, came_true=True)]))
    plural = r"\b1 (von 1 )?(dauerten|waren|Projekten waren)|1 of 1 \w+ were"
    assert len(times) == 3
    assert not [line for line in (*times, odds) if re.search(plural, line)]


def test_short_cuts_are_told_to_be_left_out_and_why() -> None:
    """A cut that was mostly hands' work gives no point; so says a line where points are told of."""
    short = RunSeen(
        key="log/run/short/1",
        at_s=9,
        machine="laser",
        route=Route.CUT,
        material="acrylic",
        estimated_s=60.0,
        ran_s=60.0,
        timed=False,
    )
    found = judged([short, replace(short, key="log/run/failed/1", failed=True)])
    assert (found.times, found.cuts_left_out) == ((), 1)
    line, last = judged_lines(found)
    assert line.startswith("Cuts not counted here: 1.")
    assert "quarter of its time" in line
    assert last.startswith("Nothing that was foretold")
    assert judged(run_seen(1, 100.0, Route.CUT)).cuts_left_out == 0
