"""The request for the odds of a plan with everything that bears on them."""

from dataclasses import dataclass, field

from fabsched.model.progress import UNWATCHED, Watch
from fabsched.model.weekend import Weekend
from fabsched.session.bench import Bench
from fabsched.session.inputs import PlanInput
from fabsched.session.odds_records import OddsInput, OddsTold
from fabsched.session.requests import next_id


def planned_with_ways(bench: Bench, weekend: Weekend, seed: int = 0) -> PlanInput | None:
    """What was planned, for the ways that were not chosen; None if nothing was chosen.

    Args:
        bench: the open project with its log.
        weekend: what was planned, from the moment it was planned for.
        seed: of the random draws.
    """
    if not any(fork.chosen for fork in bench.project.forks):
        return None
    return PlanInput(
        project=bench.project,
        shop=bench.shop,
        estimates=bench.estimates,
        now_s=weekend.begin_s,
        seed=seed,
        seen=bench.experiences.light,
        entries=bench.log.entries,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class OddsResponse:
    """The odds of a plan with everything that bears on them.

    Attributes:
        id: of the request.
        told: all of it.
    """

    id: int
    told: OddsTold


@dataclass(frozen=True, slots=True, kw_only=True)
class OddsRequest(OddsInput):
    """Find out what bears on the odds of a plan.

    Attributes:
        id: number of the request.
    """

    id: int = field(default_factory=next_id)

    def run(self, watch: Watch = UNWATCHED) -> OddsResponse:
        """Simulate the weekend many times, with and without each setback.

        Raises:
            Cancelled: the watch said stop.
        """
        from fabsched.session.advising import odds_told  # noqa: PLC0415 - heavy

        return OddsResponse(id=self.id, told=odds_told(self, watch))
