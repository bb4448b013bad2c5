"""Who and what changes while a plan is carried out: people on their way, and where everything stands."""

from dataclasses import dataclass, field

from fabsched.model.crews import Other
from fabsched.model.deciding import Wait
from fabsched.model.plan import Doing
from fabsched.model.reasons import Since
from fabsched.model.steps import Duty, Hold, Offer, Where
from fabsched.model.weekend import Hands
from fabsched.model.windows import NEVER


@dataclass(slots=True)
class Player:
    """Somebody on their way through the weekend.

    Attributes:
        hands: who.
        place: where they are, or will be when they are free.
        free_s: when they are free, or look again.
        bound_s: until when they stay at the place.
        near: name of the run they stay with until then.
        since: what they did last.
        idle: whether they wait.
        keeps: how urgent what they keep free for is; None if they do not.
        stands_back: whether they let others who are free at the same moment look first.
    """

    hands: Hands
    place: str
    free_s: int
    since: Since
    bound_s: int = 0
    near: str = ""
    idle: bool = False
    keeps: int | None = None
    stands_back: bool = False

    @property
    def where(self) -> Where:
        """They and the moment at which they are free."""
        return Where(self.hands, self.place, self.free_s, self.bound_s)

    def stays(self, name: str, until_s: int) -> None:
        """They do not leave the place before a run is over."""
        if until_s > self.bound_s:
            self.bound_s, self.near = until_s, name

    def since_for(self, offer: Offer) -> Since:
        """What kept them until a step that is done: the run they could not leave, or what they did."""
        bound = Where(self.hands, self.place, self.bound_s, self.bound_s)
        kept = offer.way_s and self.bound_s > self.since.where.moment_s
        return Since(bound, self.near, Doing.NEAR) if kept else self.since

    def waits(self, now_s: int, wait: Wait, keeps: int | None) -> None:
        """Look again later; in a moment, if others who are free now have still to look."""
        self.stands_back = wait.until_s == now_s
        self.free_s, self.idle, self.keeps = wait.until_s, True, keeps

    def acts(self) -> None:
        """They no longer wait."""
        self.idle, self.keeps, self.stands_back = False, None, False

    def other(self, now_s: int, rank: int) -> Other:
        """As somebody who acts now sees them, who asks for a task as urgent as this."""
        free = self.idle and (self.free_s > now_s or self.stands_back)
        free &= self.keeps is None or rank <= self.keeps
        look_s = NEVER if self.stands_back else self.free_s
        return Other(Where(self.hands, self.place, now_s, self.bound_s), free, look_s)


@dataclass(slots=True)
class Standing:
    """What changes.

    Attributes:
        duties: the next step of each entry that has one, by id.
        holds: what each entry that is not released waited for so far.
        machines: since when each machine is free, or will be; missing while that is not known.
        attempts: how often each run was started.
        done_s: when each entry was done.
        left: entries that are still to be done.
        needed: those the finish waits for.
    """

    duties: dict[str, Duty] = field(default_factory=dict)
    holds: dict[str, list[Hold]] = field(default_factory=dict)
    machines: dict[str, Hold] = field(default_factory=dict)
    attempts: dict[str, int] = field(default_factory=dict)
    done_s: dict[str, int] = field(default_factory=dict)
    left: set[str] = field(default_factory=set)
    needed: set[str] = field(default_factory=set)
