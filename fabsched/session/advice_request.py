"""The request for advice on a plan, and what carries a piece of advice out."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import assert_never

from fabsched.advise.counsel import (
    Action,
    Advice,
    Counselled,
    Early,
    Need,
    TakeOut,
    WithCoupon,
)
from fabsched.model.progress import UNWATCHED, Watch, tell
from fabsched.session.advice_records import AdviceInput
from fabsched.session.coupon_request import write_coupon
from fabsched.session.edits import TAKE_ADVICE, Edit, without
from fabsched.session.inputs import PlanInput
from fabsched.session.need_edits import with_early, with_need
from fabsched.session.project_session import Session
from fabsched.session.requests import PlanResponse, next_id


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceResponse:
    """Advice on a plan.

    Attributes:
        id: of the request.
        told: all of it.
    """

    id: int
    told: Counselled


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceRequest(AdviceInput):
    """Find out what would win most chance.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> AdviceResponse:
        """Weigh changes against the plan, on the same luck.

        What is known so far is told as soon as it is, and again with each coupon that was weighed.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.advising import advice_for  # noqa: PLC0415 - heavy

        told = Counselled()
        for told in advice_for(self, watch):
            tell(watch, told)
        return AdviceResponse(id=self.id, told=told)


def advice_request(
    session: Session,
    plan: PlanResponse,
    now: datetime,
    seed: int = 0,
    *,
    thorough: bool = False,
) -> AdviceRequest:
    """Ask for advice on a plan.

    Args:
        session: the open project.
        plan: its plan.
        now: the present moment.
        seed: of the random draws.
        thorough: whether every gate that may be skipped is looked at, or the first few.
    """
    given = PlanInput(
        project=session.project,
        shop=session.shop,
        estimates=session.estimates,
        now_s=int(now.timestamp()),
        seed=seed,
        seen=session.experiences.light,
    )
    return AdviceRequest(
        given=given,
        weekend=plan.weekend,
        answer=plan.answer,
        folder=session.folder,
        all_looks=thorough,
    )


def take_advice(session: Session, advice: Advice) -> bool:
    """Carry a piece of advice out; undo takes it back.

    Returns:
        False if it is not for the project to carry out; then nothing has changed.

    Raises:
        InputError: a file cannot be written, or the project not be saved.
    """
    if advice.action is None:
        return False
    if advice.file:
        write_coupon(session.folder / advice.file, advice.content)
    session.change(TAKE_ADVICE, edit_of(advice.action))
    return True


def edit_of(action: Action) -> Edit:
    """The edit that carries an action out."""
    match action:
        case TakeOut(items=items):
            return without(items)
        case Need(item=item):
            return with_need(item, needed=True)
        case Early(item=item):
            return with_early(item, early=True)
        case WithCoupon():
            return action
        case _:
            assert_never(action)
