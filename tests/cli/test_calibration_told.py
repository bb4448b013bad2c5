"""A whole project is logged, and what is told of its estimates and odds is worked out once more.

The second time from the bytes of the log alone, with scipy: the log's rows are read as JSON, the
spread is made of two halves of log-normals with scipy's distribution, and nothing of ours is asked.
"""

import json
import sqlite3
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from tests.cli.made import NOW, Started, cube
from tests.cli.test_log_verb import HOURS, document
from tests.cli.test_plan_verb import SHOP

WORKS = {"solder": 60, "code": 90, "paint": 40, "screw": 25, "wire": 120, "file": 30}
"""Likely minutes."""
TOOK = {"solder": 0.7, "code": 1.9, "paint": 1.0, "screw": 1.31, "wire": 2.6, "file": 1.2}
"""By what each took longer than that (made up)."""


@pytest.fixture
def logged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Path:
    """A project of a print and six works, logged from its start to its end."""
    monkeypatch.setattr(
        "fabsched.session.project_session.default_folder", lambda: tmp_path / "cache" / "estimates"
    )
    folder, started = tmp_path / "box", Started()
    lid, deadline = cube(tmp_path / "lid.stl"), (NOW + 12 * HOURS).isoformat()
    assert started.run("new", folder, lid, "--deadline", deadline) == 0
    (folder / "shop.toml").write_text(SHOP)
    with (folder / "project.toml").open("a") as file:
        for ident, minutes in WORKS.items():
            low, high = minutes // 2, 2 * minutes
            file.write(f'\n[[work]]\nid = "{ident}"\nminutes = [{low}, {minutes}, {high}]\n')
    assert started.run("plan", folder) in {0, 3}
    _log(started, folder, "lid", NOW, 1.0)
    moment = NOW
    for ident, minutes in WORKS.items():
        _log(started, folder, ident, moment, minutes * TOOK[ident] / 60)
        moment += minutes * TOOK[ident] / 60 * HOURS
    capsys.readouterr()
    return folder


def _log(started: Started, folder: Path, ident: str, at: datetime, hours: float) -> None:
    assert started.run("log", folder, "start", ident, "--sure", now=at) == 0
    assert started.run("log", folder, "finish", ident, "--sure", now=at + hours * HOURS) == 0


def _rows(folder: Path) -> list[tuple[int, str, str, Mapping[str, Any]]]:
    with sqlite3.connect(folder / "log.sqlite") as log:
        rows = log.execute("SELECT moment_s, kind, subject, body FROM entry ORDER BY id")
        found = [(at_s, kind, what, json.loads(body)) for at_s, kind, what, body in rows]
    log.close()
    return found


def _transform(told: tuple[float, float, float], actual: float) -> float:
    """Probability integral transform: the cumulative share of a log-normal at the actual figure.

    On either side of the median its scale is that of P10 or P90 (the quantile of 0.9 is 1.2816).
    """
    low, likely, high = told
    edge = high / likely if actual >= likely else likely / low
    shape = np.log(edge) / stats.norm.isf(0.1)
    return float(stats.lognorm.cdf(actual, s=shape, scale=likely))


def test_the_plot_and_the_score_are_those_of_the_log(
    logged: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Transforms of all works, of the print, and the Brier score agree with those from the rows.

    One project is told as hardly anything.
    """
    began: dict[str, int] = {}
    places: dict[str, list[float]] = {"work": [], "print": []}
    inside = dict.fromkeys(places, 0)
    for at_s, kind, what, body in _rows(logged):
        if kind == "started":
            began[what] = at_s
        elif kind == "finished":
            sort = "print" if what == "lid" else "work"
            told = body["meant"]["seconds" if sort == "print" else "foretold"]
            actual = at_s - began[what]
            places[sort].append(_transform(told, actual))
            inside[sort] += told[0] <= actual <= told[2]
    chance = next(body for _, kind, _, body in _rows(logged) if kind == "planned")["plan"][
        "on_time"
    ]
    assert Started().run("log", logged, "learnt", "--json", now=NOW + 20 * HOURS) == 0
    found = document(capsys)["calibration"]
    plots = {each["of"]: each for each in found["times"]}
    assert plots.keys() == places.keys()
    for sort, mine in places.items():
        points = np.array(plots[sort]["probability_plot"])
        assert points[:, 0] == pytest.approx(sorted(mine), abs=1e-6)
        assert points[:, 1] == pytest.approx((np.arange(len(mine)) + 0.5) / len(mine))  # Hazen
        assert plots[sort]["inside_p10_p90"] == inside[sort]
        assert plots[sort]["longer_than_p50"] == sum(place > 0.5 for place in mine)
    assert inside["work"] < len(WORKS)  # so that the count could go wrong
    assert (found["odds"]["told"], found["odds"]["in_time"]) == (chance, 1)
    assert found["odds"]["brier"] == pytest.approx(np.mean(np.square(np.array([chance]) - 1.0)))
    assert Started().run("log", logged, "learnt", now=NOW + 20 * HOURS) == 0
    _one_project_says_hardly_anything(" ".join(capsys.readouterr().out.split()))


def _one_project_says_hardly_anything(out: str) -> None:
    """One print and one project are not judged, and say so."""
    assert "Prints: " in out
    assert "Too few to tell more." in out
    assert "Odds: projects done in time: 1 of 1; foretold: " in out
    assert out.endswith("Resting on 1, this says hardly anything yet.")
