"""Compile the simulator once, so that the cache on disk holds it.

Compiling takes some ten seconds, loading from the cache a tenth of one. There is one version for
every weekend.
"""

from fabsched.model.plan import Plan
from fabsched.model.spread import Spread
from fabsched.model.units import HOUR_S
from fabsched.model.weekend import Hands, Site, Task, Weekend
from fabsched.model.windows import Windows
from fabsched.odds.simulate import simulate


def warm_kernel() -> None:
    """Simulate a tiny weekend twice."""
    hours = Windows.always(0, HOUR_S)
    task = Task(id="warm", name="warm", place="warm", people=("warm",), seconds=Spread(1, 2, 3))
    weekend = Weekend(
        zone="UTC",
        begin_s=0,
        deadline_s=HOUR_S,
        horizon_s=HOUR_S,
        hands=(Hands(id="warm", name="warm", base="warm", windows=hours),),
        sites=(Site(id="warm", name="warm", windows=hours),),
        stations=(),
        activities=(task,),
    )
    simulate(weekend, Plan(order=("warm",)), scenarios=2, seed=0)
