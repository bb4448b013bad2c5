"""What the window and the picture say, put together from the program's wording. No Qt here."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath
from zoneinfo import ZoneInfo

from fabsched.desktop.clock import hour_text
from fabsched.desktop.timeline.scene import Lane, LaneKind, Scene, Shade
from fabsched.model.errors import InputError, WorkerLost
from fabsched.model.plan import Answer, Block, Kind, Odds
from fabsched.model.project import Gate, Project, Work
from fabsched.model.units import DAY_S
from fabsched.model.weekend import Weekend
from fabsched.model.windows import NEVER
from fabsched.session.clock import NEAR_S, duration, local, long, short, up
from fabsched.session.noticed import say, text_of
from fabsched.session.odds_words import done_text, doubt_text, rest_text
from fabsched.session.project_session import Session
from fabsched.session.reason_words import last_start_text, latest_s, no_last_start, then_text
from fabsched.session.wording import caution, chance, kind, phrase, share, why

FAR_S = 2 * DAY_S
"""So long after another moment the name of a day might be taken for one before it (our own choice)."""


def odds_text(odds: Odds, deadline_s: int, zone: ZoneInfo) -> str:
    """The odds in two sentences: how likely and how many by when, then half of them by when."""
    return f"{chance_text(odds, deadline_s, zone)} {half_text(odds, deadline_s, zone)}"


def outlook_text(answer: Answer, weekend: Weekend) -> str:
    """The odds in two sentences, or that all that is needed is done."""
    told = done_text(answer.odds, weekend)
    return told or odds_text(answer.odds, weekend.deadline_s, ZoneInfo(weekend.zone))


def chance_text(odds: Odds, deadline_s: int, zone: ZoneInfo) -> str:
    """How likely it is, and how many of how many are done by the deadline."""
    deadline = long(deadline_s, zone)
    facts = {"chance": chance(odds.on_time), "share": share(odds.on_time), "deadline": deadline}
    return capital(phrase("odds", **facts))


def half_text(odds: Odds, deadline_s: int, zone: ZoneInfo) -> str:
    """By when half of the weekends are done, and by when nine in ten."""
    if odds.p50_s is None:
        return phrase("half-never")
    half = _near(up(odds.p50_s), deadline_s, zone)
    if odds.p90_s is None:
        return phrase("most-never", p50=half)
    return phrase("half-by", p50=half, p90=_near(up(odds.p90_s), deadline_s, zone))


def _near(moment_s: int, other_s: int, zone: ZoneInfo) -> str:
    """Only the hour on the same day as the other moment, named just before; days later the date."""
    if local(moment_s, zone).date() == local(other_s, zone).date():
        return hour_text(moment_s, zone)
    far = moment_s - other_s >= FAR_S
    return long(moment_s, zone, moment_s - NEAR_S if far else None)


def spare_text(answer: Answer, weekend: Weekend) -> str:
    """How much time is left over as planned, or how much is missing; when done, what is left."""
    if answer.odds.done_s is not None:
        return rest_text(answer)
    zone, finish_s = ZoneInfo(weekend.zone), answer.course.finish_s
    deadline = long(weekend.deadline_s, zone, weekend.begin_s)
    facts = {"deadline": deadline, "share": share(answer.odds.on_time)}
    if finish_s >= NEVER:
        days = (weekend.horizon_s - weekend.deadline_s) // DAY_S
        return capital(phrase("missed-beyond", days=days, **facts)) + "."
    finish = long(up(finish_s), zone, weekend.begin_s)
    if finish_s > weekend.deadline_s:
        late = duration(up(finish_s - weekend.deadline_s))
        return capital(phrase("missed", late=late, finish=finish, **facts)) + "."
    spare_s = max(0, weekend.deadline_s - up(finish_s))
    spare = phrase("spare", finish=finish, spare=duration(spare_s))
    if answer.odds.on_time >= weekend.wanted_odds:
        return spare
    return f"{phrase('below-wanted', wanted=share(weekend.wanted_odds))} {spare}"


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadlineWords:
    """What stands at the top of the window.

    Attributes:
        odds: the odds in a sentence, or what is missing for it.
        more: by when half of the weekends are done, and how sure the odds are.
        spare: time left over, or what is going on.
        current: whether the odds hold for the project as it is now.
        missed: whether the deadline is missed even if all goes as expected.
        below: whether one is less sure than wanted.
    """

    odds: str
    spare: str
    current: bool
    more: str = ""
    missed: bool = False
    below: bool = False


def headline_words(session: Session | None, *, busy: bool) -> HeadlineWords:
    """What stands at the top of the window.

    Args:
        session: the open project, if there is one.
        busy: whether a plan is being worked out.
    """
    if session is None:
        return HeadlineWords(odds="", spare="", current=True)
    if session.answer is None or session.weekend is None:
        code = "plan-coming" if busy else "no-plan"
        return HeadlineWords(odds=session.project.name, spare=phrase(code), current=True)
    weekend, current = session.weekend, session.answer_is_current
    told, zone = session.answer.odds, ZoneInfo(weekend.zone)
    done = done_text(told, weekend)
    odds = done or chance_text(told, weekend.deadline_s, zone)
    more = f"{half_text(told, weekend.deadline_s, zone)} {doubt_text(told)}".strip()
    open_ = current and not done
    spare = spare_text(session.answer, weekend)
    if not current:
        spare = phrase("plan-out-of-date-busy" if busy else "plan-out-of-date")
    return HeadlineWords(
        odds=odds,
        spare=spare,
        current=current,
        more="" if done else more,
        missed=open_ and session.answer.course.finish_s > weekend.deadline_s,
        below=open_ and session.answer.odds.on_time < weekend.wanted_odds,
    )


def capital(text: str) -> str:
    """The text with a capital at its beginning.

    >>> capital("you will"), capital("")
    ('You will', '')
    """
    return text[:1].upper() + text[1:]


def field_text(errors: Sequence[Exception]) -> str:
    """What is wrong with a field, where it stands beside it: without naming it again."""
    texts = (text_of(e) if isinstance(e, InputError) else error_text(e) for e in errors)
    return " ".join(capital(text) for text in texts)


def error_text(error: Exception) -> str:
    """What went wrong and what to do about it, in one line."""
    if isinstance(error, InputError):
        return say(error)
    if isinstance(error, WorkerLost):
        return capital(phrase("lost"))
    return phrase("bug-unlogged", what=f"{type(error).__name__}: {error}")


def refusal_text(error: Exception) -> str:
    """What is wrong with a file that was to be added: its name without its folders, and why."""
    if isinstance(error, InputError):
        return f"{PurePath(error.where).name}: {text_of(error)}"
    return error_text(error)


def block_text(scene: Scene, block: Block) -> str:
    """A block in lines: its name, when and where, and why it starts then."""
    start, end = (short(up(moment_s), scene.zone) for moment_s in (block.start_s, block.end_s))
    where = _lane_text(scene, block)
    length = duration(block.end_s - block.start_s)
    when = f"{capital(kind(block.kind))}: {start} \u2013 {end}, {length}, {where}"
    lines = [block.what, when]
    if block.kind is Kind.RUN:
        lines.append(phrase("hands-stay" if block.attended else "runs-alone"))
    lines.append(f"{capital(why(block.reason))}.")
    then = then_text((step.block for step in scene.steps), block)
    lines += [then] if then else []
    if block.last_start_s is not None:
        lines.append(last_start_text(block, short(latest_s(block), scene.zone, block.start_s)))
    elif block.activity and block.start_s >= scene.begin_s and block.id not in scene.past:
        lines += [never] if (never := no_last_start(scene.odds)) else []
    return "\n".join(lines)


def _lane_text(scene: Scene, block: Block) -> str:
    """Whose or which machine's a block is, and with whom it is done."""
    titles = {lane.id: lane.title for lane in scene.lanes}
    title = titles.get(block.resource, "")
    if not block.others:
        return title
    names = ", ".join(titles.get(ident, ident) for ident in block.others)
    return phrase("together", what=title, names=names)


def shade_text(scene: Scene, lane: Lane, shade: Shade) -> str:
    """Closed hours in a line."""
    who = lane.title if lane.kind is LaneKind.PERSON else f"{lane.title}, {lane.note}"
    span = f"{short(shade.start_s, scene.zone)} \u2013 {short(shade.end_s, scene.zone)}"
    return f"{who}: {phrase(f'shade-{shade.why}')}, {span}"


def cautions(answer: Answer) -> tuple[str, ...]:
    """The usual cautions for what a plan does."""
    return tuple(caution(code) for code in _caution_codes(answer))


def brief_cautions(answer: Answer) -> str:
    """The same in a line."""
    parts = [phrase(f"brief-{code}") for code in _caution_codes(answer)]
    return f"{capital('; '.join(parts))}."


def _caution_codes(answer: Answer) -> tuple[str, ...]:
    blocks = answer.course.blocks
    runs = [block for block in blocks if block.kind is Kind.RUN]
    given = {
        "laser": any(run.attended for run in runs),
        "unattended": any(not run.attended for run in runs),
        "fumes": bool(runs),
        "mains": any(block.kind is Kind.WORK for block in blocks),
    }
    return tuple(code for code, applies in given.items() if applies)


def next_text(scene: Scene, now_s: int) -> str:
    """What hands do now, and what they do next."""
    people = {lane.id for lane in scene.lanes if lane.kind is LaneKind.PERSON}
    steps = [step for step in scene.steps if step.block.resource in people]
    now = [step for step in steps if step.block.start_s <= now_s < step.block.end_s]
    then = next((step for step in steps if step.block.start_s > now_s), None)
    parts = [
        phrase("do-now", what=step.told, end=hour_text(up(step.block.end_s), scene.zone))
        for step in now
    ]
    if then is not None:
        start = short(up(then.block.start_s), scene.zone, now_s)
        parts.append(phrase(next_code(scene), what=then.told, start=start))
    return "  ".join(parts)


def next_code(scene: Scene) -> str:
    """How what comes next is told: once all that is needed is done, the rest is free to do."""
    return "do-next" if scene.odds.done_s is None else "do-optional"


def work_text(project: Project, work: Work) -> str:
    """Minutes and what a work waits for, in a line."""
    names = {item.id: item.name for item in project.items}
    low, likely, high = (
        f"{m:g}" for m in (work.minutes.low, work.minutes.likely, work.minutes.high)
    )
    text = f"{low} / {likely} / {high} min"
    if isinstance(work, Gate):
        text += f", {phrase('work-finds', share=share(work.chance))}"
    if work.after:
        waited = ", ".join(names.get(ident, ident) for ident in work.after)
        text += f", {phrase('work-after', names=waited)}"
    return text
