"""Advice: what would win most chance, each with its number and one step that carries it out."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from fabsched.advise.counsel import (
    Action,
    Advice,
    Counsel,
    Counselled,
    Early,
    Gain,
    Look,
    Need,
    TakeOut,
)
from fabsched.advise.coupon_items import PlannedCoupon
from fabsched.advise.drops import Drop, carriers, drops
from fabsched.advise.gates import looks
from fabsched.advise.spare_time import SpareWork, spare_work
from fabsched.advise.weighing import Scales
from fabsched.model.errors import Fact
from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.project import Project
from fabsched.model.weekend import Turn
from fabsched.schedule.early import may_become_early
from fabsched.schedule.stretch import Stretch

WORTH = 0.01
"""Advice that wins less chance is not given (own choice)."""
MOST_LOOKS = 3
"""So many gates that may be skipped are looked at; the search has weighed them all already."""
MOST_NEEDED = 2
"""Needed things are named as what they cost; more of them would be a lament (own choice)."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Weighed:
    """A coupon that is not in the project yet, and what it would be worth.

    Attributes:
        planned: the coupon.
        look: what its check is worth in a plan that has it.
    """

    planned: PlannedCoupon
    look: Look


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Seen:
    """What was weighed of a plan, apart from coupons that could be made.

    Attributes:
        wins: what would win chance.
        looks: what each gate that may be skipped is worth.
        spare: what to do with time won.
    """

    wins: tuple[Advice, ...]
    looks: tuple[Look, ...]
    spare: tuple[Advice, ...]

    def told(self, coupons: Sequence[Weighed]) -> Counselled:
        """All of it, with what coupons are worth, what wins most first."""
        wins = (*self.wins, *_about_coupons(coupons))
        worth = [each for each in wins if each.gain >= WORTH and each.gain > 2 * each.error]
        worth.sort(key=lambda each: (each.code is Counsel.DROP_NEEDED, -each.gain, each.subject))
        return Counselled(
            advice=(*worth, *self.spare),
            looks=self.looks,
            coupons=tuple(weighed.look for weighed in coupons),
        )


def advice_of(
    scales: Scales,
    project: Project,
    *,
    coupons: Iterable[Weighed] = (),
    before: bool = False,
    most_looks: int | None = MOST_LOOKS,
    watch: Watch = UNWATCHED,
) -> Iterator[Counselled]:
    """Advice for a plan: what wins most first, then what needed things cost, then time won.

    It comes at once without coupons, and once more with each coupon that was weighed: these take
    longest.

    Args:
        scales: the plan.
        project: what it was made for.
        coupons: coupons that could be made, weighed one after the other.
        before: whether there is time before the weekend begins.
        most_looks: how many gates that may be skipped are looked at; None for all.
        watch: hears of the progress.

    Raises:
        Cancelled: the watch says stop.
    """
    seen = _seen(scales, project, before=before, most_looks=most_looks, watch=watch)
    weighed: list[Weighed] = []
    yield seen.told(weighed)
    for each in coupons:
        weighed.append(each)
        yield seen.told(weighed)


def _seen(
    scales: Scales, project: Project, *, before: bool, most_looks: int | None, watch: Watch
) -> _Seen:
    dropped = drops(scales, watch=Stretch(watch, 0.0, 0.6))
    gates = [
        swap for swap in scales.weekend.swaps if swap.kind is Turn.GATE and _joins_none(swap.id)
    ]
    seen = looks(scales, swaps=gates[:most_looks], watch=Stretch(watch, 0.6, 0.9))
    names = {item.id: item.name for item in project.items}
    spare = spare_work(scales, watch=Stretch(watch, 0.9, 1.0))
    return _Seen(
        wins=(
            *_about_drops(scales, project, names, dropped, before=before),
            *_about_looks(project, names, seen),
        ),
        looks=seen,
        spare=tuple(_about_spare(names, spare)),
    )


def _joins_none(swap: str) -> bool:
    """Whether a swap decides about one thing alone."""
    return "+" not in swap


def _about_drops(
    scales: Scales,
    project: Project,
    names: Mapping[str, str],
    dropped: Sequence[Drop],
    *,
    before: bool,
) -> Iterator[Advice]:
    early = may_become_early(project) if before else frozenset()
    wanted = float(scales.base.mean()) < scales.weekend.wanted_odds
    costly, whole = 0, carriers(project)
    for drop in dropped:
        name = {"what": names.get(drop.item, drop.item)}
        if drop.item in early:
            yield _told(Counsel.EARLY, drop.item, name, drop.gain, Early(item=drop.item))
        if not drop.needed:
            action = TakeOut(items=(drop.item,))
            yield _told(Counsel.DROP, drop.item, name, drop.gain, action)
        elif drop.item in early:
            continue
        elif wanted and costly < MOST_NEEDED and drop.item not in whole:
            costly += 1
            action = TakeOut(items=(drop.item,))
            yield _told(Counsel.DROP_NEEDED, drop.item, name, drop.gain, action)


def _about_looks(
    project: Project, names: Mapping[str, str], seen: Sequence[Look]
) -> Iterator[Advice]:
    gates = {gate.name: gate.id for gate in project.gates if not gate.needed}
    for look in seen:
        if not look.taken and look.name in gates:
            gate = gates[look.name]
            facts: dict[str, Fact] = {"what": names[gate], "seconds": look.hands_s}
            yield _told(Counsel.LOOK, gate, facts, look.gain, Need(item=gate))


def _about_coupons(coupons: Iterable[Weighed]) -> Iterator[Advice]:
    for weighed in coupons:
        planned = weighed.planned
        facts: dict[str, Fact] = {
            "what": planned.edit.coupon.name,
            "seconds": weighed.look.machine_s,
        }
        yield Advice(
            code=Counsel.COUPON,
            subject=planned.part,
            facts=facts,
            on_time=weighed.look.gain.on_time,
            gain=weighed.look.gain.gain,
            error=weighed.look.gain.error,
            action=planned.edit,
            file=planned.edit.coupon.file,
            content=planned.content,
        )


def _about_spare(names: Mapping[str, str], spare: Sequence[SpareWork]) -> Iterator[Advice]:
    """The first that is safe, if any: one thing at a time."""
    for work in spare:
        if work.is_safe:
            facts: dict[str, Fact] = {
                "what": names.get(work.item, work.item),
                "seconds": work.likely_s,
            }
            yield Advice(
                code=Counsel.SPARE,
                subject=work.item,
                facts=facts,
                on_time=work.on_time,
                action=None if work.planned else Need(item=work.item),
            )
            return


def _told(
    code: Counsel,
    subject: str,
    facts: Mapping[str, Fact],
    gain: Gain,
    action: Action | None = None,
) -> Advice:
    return Advice(
        code=code,
        subject=subject,
        facts=facts,
        on_time=gain.on_time,
        gain=gain.gain,
        error=gain.error,
        action=action,
    )
