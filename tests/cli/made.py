"""What tests of the command line share: a way to run it in this process, files, and a plan."""

import struct
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from fabsched.cli.command import run
from fabsched.cli.surroundings import Surroundings
from fabsched.model.plan import (
    Answer,
    Block,
    Course,
    Kind,
    Odds,
    Plan,
    Reason,
    Solver,
    Why,
)
from fabsched.model.replay import replay
from fabsched.model.scenario import nominal
from fabsched.model.spread import Spread
from fabsched.model.state import State
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Choice, Hands, Run, Site, Station, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.session.export_records import RunSheet, Written

BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime(2026, 10, 23, 18, tzinfo=BERLIN)
NOW_S = int(NOW.timestamp())
CORNERS = [(x, y, z) for x in (0.0, 20.0) for y in (0.0, 20.0) for z in (0.0, 10.0)]
FACES = [
    (0, 1, 3),
    (0, 3, 2),
    (4, 6, 7),
    (4, 7, 5),
    (0, 4, 5),
    (0, 5, 1),
    (2, 3, 7),
    (2, 7, 6),
    (0, 2, 6),
    (0, 6, 4),
    (1, 5, 7),
    (1, 7, 3),
]


@dataclass(slots=True)
class Started:
    """What the command line asked of its surroundings.

    Attributes:
        windows: folders the window was opened with.
        pictures: files a plan was drawn into.
        sheets: run sheets put on paper.
    """

    windows: list[Path | None] = field(default_factory=list)
    pictures: list[Path] = field(default_factory=list)
    sheets: list[RunSheet] = field(default_factory=list)

    def run(self, *argv: str | Path, now: datetime = NOW) -> int:
        """Carry out a command line; returns the exit code."""
        surroundings = Surroundings(
            draw=self._draw, illustrate=self._illustrate, window=self._window, clock=lambda: now
        )
        return run([str(argument) for argument in argv], surroundings)

    def _draw(
        self,
        weekend: Weekend,
        answer: Answer,
        path: Path,
        *,
        title: str,
        now_s: int,
        state: State,
    ) -> None:
        assert weekend.activities
        assert answer.course.blocks
        assert title
        assert now_s
        assert state.last_s <= now_s
        self.pictures.append(path)

    def _illustrate(
        self,
        weekend: Weekend,
        answer: Answer,
        sheet: RunSheet,
        target: Path,
        *,
        now_s: int,
        state: State,
    ) -> tuple[Written, ...]:
        assert weekend.activities
        assert answer.course.blocks
        assert now_s
        assert state.last_s <= now_s
        self.sheets.append(sheet)
        return (Written(kind="timeline", path=target / "timeline.png"),)

    def _window(self, folder: Path | None) -> int:
        self.windows.append(folder)
        return 0


def cube(path: Path, scale: float = 1.0) -> Path:
    """A binary STL of 20 x 20 x 10 units; its normals are left to the reader."""
    body = b"".join(
        struct.pack("<12fH", 0, 0, 0, *(scale * c for i in face for c in CORNERS[i]), 0)
        for face in FACES
    )
    path.write_bytes(bytes(80) + struct.pack("<I", len(FACES)) + body)
    return path


def square(path: Path) -> Path:
    """An SVG with one square of 40 mm."""
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">'
        '<rect x="5" y="5" width="40" height="40"/></svg>'
    )
    return path


def weekend(deadline_h: int = 24) -> Weekend:
    """A print of two hours at home."""
    always = Windows.always(NOW_S, NOW_S + 400 * HOUR_S)
    run_ = Run(
        id="lid",
        name="Lid",
        choices=(Choice("printer", Spread(6000, 7200, 9000)),),
        attended=False,
        start_s=600,
        clear_s=300,
        cargo=(("lid", 2),),
    )
    return Weekend(
        zone="Europe/Berlin",
        begin_s=NOW_S,
        deadline_s=NOW_S + deadline_h * HOUR_S,
        horizon_s=NOW_S + 400 * HOUR_S,
        hands=(Hands(id="me", name="Me", base="home", windows=always),),
        sites=(Site(id="home", name="Home", windows=always),),
        stations=(Station(id="printer", name="Printer", place="home", windows=always),),
        activities=(run_,),
    )


def answer(finish_s: int = NOW_S + 8100, on_time: float = 0.87) -> Answer:
    """The plan of that weekend."""
    first = Reason(Why.FIRST)
    blocks: Sequence[Block] = (
        _block("lid.start", Kind.TEND, "me", (0, 600), first),
        _block("lid", Kind.RUN, "printer", (600, 7800), Reason(Why.STARTED, {"what": "Lid"})),
        _block("lid.clear", Kind.TEND, "me", (7800, 8100), Reason(Why.AFTER, {"what": "Lid"})),
    )
    p90_s = NOW_S + 20000 if on_time > 0.9 else None
    odds = Odds(
        on_time=on_time,
        standard_error=0.01,
        p10_s=NOW_S + 8000,
        p50_s=NOW_S + 8100,
        p90_s=p90_s,
        scenarios=1000,
    )
    return Answer(
        plan=Plan(order=("lid",)),
        course=Course(blocks=tuple(blocks), done_s={"lid": finish_s}, finish_s=finish_s),
        odds=odds,
        solver=Solver(status="optimal", bound_s=NOW_S + 8100, gap=0.0),
        method="longest",
    )


def crewed() -> tuple[Weekend, Answer]:
    """The same for Ada and Bo, who have something to lift together, with the nominal course."""
    alone = weekend()
    people = ("ada", "bo")
    hands = tuple(replace(alone.hands[0], id=ident, name=ident.title()) for ident in people)
    lift = Task(
        id="lift",
        name="Lift",
        place="home",
        people=people,
        crew=2,
        seconds=Spread.exactly(1800),
        undoable=True,
    )
    week = replace(alone, hands=hands, activities=(*alone.activities, lift))
    plan = Plan(order=("lid", "lift"))
    return week, replace(answer(), plan=plan, course=replay(week, plan, nominal(week)))


def _block(ident: str, kind: Kind, lane: str, span: tuple[int, int], reason: Reason) -> Block:
    return Block(
        id=ident,
        activity="lid",
        kind=kind,
        what="Lid",
        resource=lane,
        place="home",
        start_s=NOW_S + span[0],
        end_s=NOW_S + span[1],
        reason=reason,
    )
