"""From a plan that is not good enough to what would make it fit. Heavy: imported when a request runs."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from fabsched.advise.drops import carriers
from fabsched.advise.fits import Fit, Lever, Obstacle
from fabsched.advise.fitting import fits
from fabsched.advise.levers import Changed
from fabsched.advise.obstacles import obstacles
from fabsched.advise.weighing import Scales
from fabsched.model.errors import InputError
from fabsched.model.progress import Watch, check
from fabsched.model.project import Fork, Project
from fabsched.model.state import state_of
from fabsched.model.units import HOUR_S
from fabsched.odds.sample import Sample
from fabsched.session.fit_copies import fewer
from fabsched.session.fit_deliveries import earlier
from fabsched.session.fit_records import FitInput, is_short
from fabsched.session.knowledge import knowledge_of
from fabsched.session.planning import laid_out_now
from fabsched.session.warming import make_ready

SCENARIOS = 2000
"""Weekends each change is carried out on."""

THREADS = 2
"""Threads that share scenarios; changes no result."""

SOONER_S = (2 * HOUR_S, 4 * HOUR_S, 12 * HOUR_S, 24 * HOUR_S)
"""So much earlier one could begin, if that is still to come (our own choice)."""


def fits_for(given: FitInput, watch: Watch) -> tuple[Fit, ...]:
    """What would make a weekend fit; nothing where it does.

    Raises:
        Cancelled: the watch said stop.
    """
    if not is_short(given.weekend, given.answer):
        return ()
    make_ready(watch)
    check(watch)
    known = given.answer.odds.low is not None
    truths = knowledge_of(given.given.seen).truths
    sample = Sample(seed=given.given.seed, scenarios=SCENARIOS, threads=THREADS)
    sample = replace(sample, truths=truths) if known else sample
    scales = Scales.of(given.weekend, given.answer.plan, sample)
    scales = replace(scales, known=given.answer.odds.on_time - float(scales.base.mean()))
    names = {item.id: item.name for item in given.given.project.items}
    whole = carriers(given.given.project)
    others = (*_relaid(given), *earlier(given))
    return fits(
        scales,
        others,
        last=fewer(given),
        names=names,
        carriers=whole,
        watch=watch,
    )


def obstacles_for(given: FitInput) -> tuple[Obstacle, ...]:
    """What alone takes longer than there is time; nothing where all fits."""
    if not is_short(given.weekend, given.answer):
        return ()
    return obstacles(given.weekend, given.answer.plan)


def _relaid(given: FitInput) -> Iterator[Changed]:
    """Changes of the project itself; a weekend that is under way began when it began."""
    if given.weekend.settled or state_of(given.given.entries).has_begun:
        return
    for fit, project in (*_sooner(given), *_other_ways(given.given.project)):
        try:
            weekend = laid_out_now(replace(given.given, project=project))
        except InputError:  # such a change is none
            continue
        yield Changed(fit=fit, weekend=weekend)


def _sooner(given: FitInput) -> Iterator[tuple[Fit, Project]]:
    """Another start, where that is still to come."""
    project = given.given.project
    begin_s = int(project.start.timestamp()) if project.start else given.weekend.begin_s
    for sooner_s in SOONER_S:
        if begin_s - sooner_s >= given.given.now_s:
            start = datetime.fromtimestamp(begin_s - sooner_s, project.zone)
            fit = Fit(code=Lever.START, size_s=sooner_s, from_s=begin_s - sooner_s)
            yield fit, replace(project, start=start)


def _other_ways(project: Project) -> Iterator[tuple[Fit, Project]]:
    """Ways the maker has not chosen; where nothing was chosen the planner has looked at all."""
    for fork in (fork for fork in project.forks if fork.chosen):
        for way in fork.ways:
            if way.id != fork.chosen:
                fit = Fit(code=Lever.WAY, subject=way.id, name=f"{fork.name}: {way.name}")
                forks = tuple(_chosen(each, fork.id, way.id) for each in project.forks)
                yield fit, replace(project, forks=forks)


def _chosen(fork: Fork, ident: str, way: str) -> Fork:
    return replace(fork, chosen=way) if fork.id == ident else fork
