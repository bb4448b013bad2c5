"""Advice on a plan: what wins most comes first, and each step can be carried out and undone."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from manifold3d import Manifold

from fabsched.advise.counsel import (
    Action,
    Advice,
    Counsel,
    Counselled,
    Early,
    Need,
    TakeOut,
    WithCoupon,
)
from fabsched.advise.plates.frames import mesh_of
from fabsched.files.log_sqlite import LOG_FILE
from fabsched.files.project_edit import write_project
from fabsched.files.stl import write_stl
from fabsched.model.project import Fit, Gate, Part, Project, Work
from fabsched.model.spread import Spread
from fabsched.model.weekend import Going, Run
from fabsched.session.advice_request import advice_request, edit_of, take_advice
from fabsched.session.advice_words import advice_text
from fabsched.session.advising import promising
from fabsched.session.project_session import Session
from tests.cli.test_plan_verb import SHOP
from tests.session.made import BERLIN, NOW

LID = Part(
    id="lid",
    name="Lid",
    file="parts/lid.stl",
    unit="mm",
    minutes=Spread(170, 180, 190),
    fits=(Fit(id="pin", name="Pin", at_mm=(20, 20, 4), size_mm=(5, 5, 8), clearance_mm=0.2),),
)
FIT = Gate(
    id="fit",
    name="Fit",
    minutes=Spread.exactly(10),
    after=("lid",),
    chance=0.5,
    redo=("lid",),
)


def _opened(root: Path, project: Project) -> Session:
    (root / "box" / "parts").mkdir(parents=True)
    body = Manifold.cube((60, 40, 8)) - Manifold.cylinder(20, 2.5, 2.5, 64).translate((20, 20, -5))
    write_stl(root / "box" / "parts" / "lid.stl", mesh_of(body))
    write_project(root / "box", project)
    (root / "box" / "shop.toml").write_text(SHOP)
    return Session.open(root / "box", cache_folder=root / "cache", experience_file=root / "seen")


@pytest.fixture
def opened(tmp_path: Path) -> Callable[..., Session]:
    """Opens a project with a lid, a test fit, and more; five and a half hours long."""

    def open_(
        *works: Work,
        hours: float = 5.5,
        parts: tuple[Part, ...] = (LID,),
        gates: tuple[Gate, ...] = (FIT,),
    ) -> Session:
        deadline = NOW.fromtimestamp(NOW.timestamp() + 3600 * hours, BERLIN)
        project = Project(
            name="Box",
            zone=BERLIN,
            deadline=deadline,
            parts=parts,
            works=works,
            gates=gates if parts else (),
        )
        return _opened(tmp_path, project)

    return open_


def _advice(session: Session) -> list[Advice]:
    for request in session.estimate_requests():
        session.accept(request.run())
    response = session.plan_request(NOW).run()
    session.accept(response)
    return list(advice_request(session, response, NOW).run().told.advice)


def test_a_coupon_is_advised_where_there_is_no_time_for_another_part(
    opened: Callable[..., Session],
) -> None:
    """It wins chance, takes minutes, and its step puts file, part and check into the project."""
    session = opened()
    first = _advice(session)[0]
    assert first.code is Counsel.COUPON
    assert first.gain > 0.2
    assert isinstance(first.action, WithCoupon)
    before = session.project
    assert take_advice(session, first)
    assert (session.folder / first.file).exists()
    assert {gate.eases for gate in session.project.gates} == {"", "fit"}
    assert session.undo_label == "take-advice"
    session.undo()
    assert session.project == before
    assert "points more" in advice_text(first)


@pytest.fixture
def many(opened: Callable[..., Session]) -> Session:
    """Four dimensions: two of a long print, one that no gate would find, one of a short print."""
    pins = tuple(
        replace(LID.fits[0], id=name, name=name, gate=gate)
        for name, gate in (("one", ""), ("two", "sure"))
    )
    lid = replace(LID, fits=pins)
    loose = replace(lid, id="loose", name="Loose", fits=pins[:1])
    short = replace(lid, id="short", name="Short", minutes=Spread(20, 30, 40), fits=pins[:1])
    sure = replace(FIT, id="sure", name="Sure", chance=0.8)
    gates = (replace(FIT, redo=("lid", "short")), sure)
    return opened(parts=(lid, loose, short), gates=gates, hours=14)


def test_every_dimension_is_weighed_the_most_promising_first(many: Session) -> None:
    """By chance of a bad fit times what it takes to make again; what no gate finds is not cut."""
    told: list[object] = []
    for estimate in many.estimate_requests():
        many.accept(estimate.run())
    response = many.plan_request(NOW).run()
    many.accept(response)
    request = advice_request(many, response, NOW)
    names = [f"{part.id} {fit.id}" for part, fit in promising(request)]
    assert names == ["lid two", "lid one", "short one"]
    done = request.run(Taking(told)).told
    counts = [len(each.coupons) for each in told if isinstance(each, Counselled)]
    assert counts == [0, 1, 2, 3]
    assert told[-1] == done
    gains = [each.gain for each in done.advice if each.code is Counsel.COUPON]
    assert gains == sorted(gains, reverse=True)


def test_what_is_begun_is_tried_without_a_coupon(many: Session) -> None:
    """A part that is on the bed already is not weighed any more."""
    for estimate in many.estimate_requests():
        many.accept(estimate.run())
    response = many.plan_request(NOW).run()
    many.accept(response)
    asked = advice_request(many, response, NOW)
    going = tuple(
        replace(each, going=Going(each.choices[0].machine, each.choices[0].seconds))
        if isinstance(each, Run) and "lid" in dict(each.cargo)
        else each
        for each in asked.weekend.activities
    )
    begun = replace(asked, weekend=replace(asked.weekend, activities=going))
    assert "lid" in {part.id for part, _ in promising(asked)}
    assert "lid" not in {part.id for part, _ in promising(begun)}


def test_chances_told_are_those_of_the_plan_and_what_is_won(many: Session) -> None:
    """Headline and advice agree to the last digit, though they were counted on other weekends."""
    for estimate in many.estimate_requests():
        many.accept(estimate.run())
    response = many.plan_request(NOW).run()
    many.accept(response)
    told = advice_request(many, response, NOW).run().told
    chance = response.answer.odds.on_time
    assert told.advice
    for each in told.advice:
        if each.code is not Counsel.SPARE:
            assert each.on_time == pytest.approx(min(1.0, chance + each.gain))
    for look in (*told.looks, *told.coupons):
        if 0.0 < look.gain.on_time < 1.0:  # where no chance ends
            assert look.gain.on_time - look.without == pytest.approx(look.gain.gain)
        assert (look.gain.on_time if look.taken else look.without) == pytest.approx(chance)


class Taking:
    """A watch that keeps what it is told."""

    def __init__(self, told: list[object]) -> None:
        """Keep it in a list."""
        self.tell = told.append

    def report(self, done: float, stage: str) -> None:
        """Progress rises from nothing to all."""
        assert 0.0 <= done <= 1.0
        assert stage

    def stopped(self) -> bool:
        """Never."""
        return False

    def enough(self) -> bool:
        """Never."""
        return False


def test_optional_work_in_the_way_is_taken_out(opened: Callable[..., Session]) -> None:
    """The odds wanted are out of reach: what costs is named, and one step takes it out and back."""
    code = Work(id="code", name="Code", minutes=Spread(60, 300, 500))
    session = opened(code, hours=7, parts=())
    found = _advice(session)
    assert [(each.code, each.subject) for each in found] == [(Counsel.DROP_NEEDED, "code")]
    assert take_advice(session, found[0])
    assert [work.id for work in session.project.works] == []
    session.undo()
    assert [work.id for work in session.project.works] == ["code"]


def test_what_all_else_leads_to_is_not_questioned(opened: Callable[..., Session]) -> None:
    """Without putting it together there is no box: only what goes into it is named."""
    code = Work(id="code", name="Code", minutes=Spread(60, 200, 300))
    join = Work(id="join", name="Join", minutes=Spread(60, 200, 300), after=("code",))
    found = _advice(opened(code, join, hours=7, parts=()))
    assert {each.subject for each in found} == {"code"}


def test_time_won_goes_to_what_can_be_undone(opened: Callable[..., Session]) -> None:
    """With two days to go a page is safe to write, paint is not."""
    page = Work(id="page", name="Page", minutes=Spread.exactly(30), needed=False, undoable=True)
    paint = replace(page, id="paint", name="Paint", undoable=False)
    found = _advice(opened(page, paint, hours=48))
    spare = [each for each in found if each.code is Counsel.SPARE]
    assert [each.subject for each in spare] == ["page"]
    assert found[-1] == spare[0]
    assert spare[0].action in {None, Need(item="page")}


def test_work_is_let_be_done_before_the_weekend(opened: Callable[..., Session]) -> None:
    """What the hours before would win is about what they win; what waits for a print is not named."""
    code = Work(id="code", name="Code", minutes=Spread(60, 120, 180))
    paint = Work(id="paint", name="Paint", minutes=Spread(20, 30, 40), after=("lid",))
    session = opened(code, paint, hours=9)
    begin = NOW.fromtimestamp(NOW.timestamp() + 3600 * 4, BERLIN)
    session.change("start", lambda project: replace(project, start=begin))
    first = next(each for each in _advice(session) if each.code is Counsel.EARLY)
    assert first.action == Early(item="code")
    before, chance = session.project, _on_time(session)
    assert take_advice(session, first)
    later = _advice(session)
    assert _on_time(session) - chance == pytest.approx(first.gain, abs=0.05)
    assert Counsel.EARLY not in {each.code for each in later}
    session.undo()
    assert session.project == before


def _on_time(session: Session) -> float:
    assert session.answer
    return session.answer.odds.on_time


ACTIONS: dict[Counsel, Action] = {
    Counsel.DROP: TakeOut(items=("page",)),
    Counsel.DROP_NEEDED: TakeOut(items=("lid",)),
    Counsel.EARLY: Early(item="page"),
    Counsel.LOOK: Need(item="page"),
    Counsel.COUPON: WithCoupon(
        part="lid",
        coupon=replace(LID, id="lid-pin-coupon", fits=(), needed=False),
        look=replace(FIT, id="look", after=("lid-pin-coupon",), redo=(), needed=False),
    ),
    Counsel.SPARE: Need(item="page"),
}


@pytest.mark.parametrize("code", Counsel)
def test_every_kind_has_one_step_and_one_step_back(
    opened: Callable[..., Session], code: Counsel
) -> None:
    """Carried out the project is another; one undo and project, shop and log are as before."""
    page = Work(id="page", name="Page", minutes=Spread.exactly(30), needed=False, undoable=True)
    session = opened(page)
    was = (session.project, session.shop)
    told = Advice(code=code, subject="page", on_time=0.9, action=ACTIONS[code])
    assert take_advice(session, told)
    assert session.project != was[0]
    session.undo()
    again = Session.open(session.folder, cache_folder=session.folder.parent / "cache")
    assert (session.project, session.shop) == (again.project, again.shop) == was
    assert not (session.folder / LOG_FILE).exists()
    assert session.undo_label is None


def test_steps_are_edits(opened: Callable[..., Session]) -> None:
    """Taking out and making needed change the project as they say."""
    session = opened()
    project = session.project
    assert not edit_of(TakeOut(items=("lid",)))(project).parts
    loose = replace(project, gates=(replace(FIT, needed=False),))
    assert edit_of(Need(item="fit"))(loose).gates[0].needed
