"""What a good schedule is."""

from fabsched.schedule.solver.times import Times
from fabsched.schedule.solver.variables import Expression, JobVariables, Variables

FINISH = 1000
"""Weight of the finish beside the weights of single activities (`Times.weight`)."""

LATE = 10
"""How much heavier every second past the deadline weighs: a wall, but a soft one."""


def add_objective(variables: Variables, times: Times) -> None:
    """Minimise the finish; with weights, also what past the deadline lies and what ends late."""
    if not times.weight:
        variables.model.minimize(variables.finish)
        return
    ends = [
        weight * _end(variables, this)
        for this in variables.jobs
        if (weight := times.weight.get(this.job.activity.id, 0))
    ]
    variables.model.minimize(FINISH * (variables.finish + LATE * _late(variables)) + sum(ends))


def _late(variables: Variables) -> Expression:
    """Seconds past the deadline."""
    wall = variables.weekend.deadline_s - variables.weekend.begin_s
    late = variables.moment("late")
    variables.model.add(late >= variables.finish - wall)
    return late


def _end(variables: Variables, this: JobVariables) -> Expression:
    """When a job is done; nothing if it is not carried out."""
    if this.live is True:
        return variables.done(this)
    end = variables.moment("end")
    variables.model.add(end >= variables.done(this)).only_enforce_if(this.live)
    return end
