"""One search: small changes under the same luck, kept if they do no harm."""

from dataclasses import dataclass, field

from fabsched.model.plan import Plan
from fabsched.model.weekend import Weekend
from fabsched.schedule.moves import Changer, Draft
from fabsched.schedule.trial import Bench, Reals, mean_of

MEMORY = 20
"""A change is kept if the plan is no worse than this many tries ago (late acceptance: Burke and
Bykov, European Journal of Operational Research 258(1), 2017)."""

PATIENCE = 100
"""A search of few tries remembers fewer, one for each of so many: it has no time for detours."""

SORTED = 200
"""After so many tries it is found out anew which scenarios are close."""

TRY = 1000
"""What thinking of a change and compiling it costs, in entries carried out; measured on weekends of 40
activities."""


@dataclass(slots=True)
class Walk:
    """Where a search is.

    Attributes:
        bench: carries plans out.
        changer: proposes changes.
        draft: the present plan.
        values: its value in each scenario.
        value: their mean.
        best: the best plan so far.
        best_value: its mean value.
        tries: how many changes have been looked at.
    """

    bench: Bench
    changer: Changer
    draft: Draft
    values: Reals = field(init=False, repr=False)
    value: float = field(init=False)
    best: Draft = field(init=False)
    best_value: float = field(init=False)
    tries: int = 0
    _past: list[float] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Carry the first plan out."""
        self._sort()
        self.best, self.best_value = self.draft, self.value
        self._past = [self.value] * MEMORY

    def _sort(self) -> None:
        """Carry the present plan out, and find out which scenarios are close."""
        self.values = self.bench.sort(self.bench.values(self.draft.plan(self._weekend)))
        self.value = mean_of(self.values)

    @property
    def _weekend(self) -> Weekend:
        return self.bench.draws.frame.weekend

    @property
    def best_plan(self) -> Plan:
        """The best plan so far."""
        return self.best.plan(self._weekend)

    def widen(self, scenarios: int) -> None:
        """Go on from the best plan so far on so many scenarios, if these are more than before."""
        if scenarios > self.bench.scenarios:
            self.bench.widen(scenarios)
            self.draft = self.best
            self._sort()
            self.best_value = self.value
            self._past = [self.value] * len(self._past)

    def expect(self, tries: int) -> None:
        """Be told how many more tries there will be."""
        self._past = [self.value] * max(1, min(MEMORY, tries // PATIENCE))

    def go_on(self, work: int) -> int:
        """Try changes until so many entries, or a few more, have been carried out; how many exactly."""
        before = self.bench.spent
        while self.bench.spent - before < work:
            self.step()
        return self.bench.spent - before

    def step(self) -> None:
        """Look at a change, and make it if it does no harm."""
        self.tries += 1
        if not self.tries % SORTED:
            self._sort()
        draft = self.changer.changed(self.draft)
        self.bench.spent += TRY
        least = min(self.value, self._past[self.tries % len(self._past)])
        plan, allowed = draft.plan(self._weekend), self.value - least
        values, before = self.bench.values_if_near(plan, self.values, allowed), self.value
        if values is not None:
            self._follow(draft, values, least)
        self.changer.learn(self.value > before)
        self._past[self.tries % len(self._past)] = self.value

    def _follow(self, draft: Draft, values: Reals, least: float) -> None:
        """Go on from a plan if it is worth no less than that."""
        value = self.value if values is self.values else mean_of(values)
        if value >= least:
            self.draft, self.values, self.value = draft, values, value
            if value > self.best_value:
                self.best, self.best_value = draft, value
