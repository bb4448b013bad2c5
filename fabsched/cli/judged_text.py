"""How right what was foretold has been, and what the log has taught: in words and as documents."""

from dataclasses import asdict

from fabsched.cli.documents import Document
from fabsched.cli.tables import console
from fabsched.session.bench import Bench
from fabsched.session.judged_records import Chances, Judged, Learnt, Times
from fabsched.session.judged_words import judged_lines, learnt_told
from fabsched.session.judging import judged, learnt
from fabsched.session.log_words import names_of
from fabsched.session.names_learnt import names_of_seen
from fabsched.session.wording import phrase


def judged_on(bench: Bench) -> Judged:
    """How right it has been so far, for all projects of this user."""
    return judged(bench.experiences.seen)


def print_judged(found: Judged) -> None:
    """Print how right what was foretold has been."""
    console().print("\n" + phrase("judged-title"), style="bold")
    for line in judged_lines(found):
        console().print(f"- {line}")


def print_learnt(bench: Bench) -> None:
    """Print what the log has taught, and how right what was foretold has been."""
    told = [*learnt_told(learnt_by(bench), names_of(bench.project, bench.shop))]
    console().print(phrase("learnt-title"), style="bold")
    for line in [each.text for each in told] or [phrase("learnt-nothing")]:
        console().print(f"- {line}")
    out = {name for one in bench.experiences.unlearnt for name in names_of_seen(one) if name}
    for code, names in (("learnt-names", {each.name for each in told} - {""}), ("learnt-out", out)):
        if names:
            console().print(phrase(code, names=", ".join(sorted(names))))
    print_judged(judged_on(bench))


def learnt_by(bench: Bench) -> Learnt:
    """What the log has taught of work and of the project's machines."""
    return learnt(bench.experiences.knowledge, bench.shop)


def judged_document(found: Judged) -> Document:
    """What was foretold against what happened."""
    return {
        "times": [_times(each) for each in found.times],
        "odds": _chances(found.chances) if found.chances else None,
    }


def _times(found: Times) -> Document:
    return {
        "of": str(found.sort),
        "count": found.count,
        "inside_p10_p90": found.inside,
        "longer_than_p50": found.longer,
        "verdict": str(found.verdict),
        "probability_plot": [list(point) for point in found.points],
    }


def _chances(found: Chances) -> Document:
    rows = [{"told": told, "came_true": true, "count": n} for told, true, n in found.rows]
    return {
        "count": found.count,
        "in_time": found.came_true,
        "told": found.told,
        "brier": found.brier,
        "brier_if_right": found.expected,
        "brier_of_base_rate": found.reference,
        "few": found.few,
        "by_tenth": rows,
    }


def learnt_document(found: Learnt) -> Document:
    """What the log has taught; the kind of work that stands for all is null."""
    return {
        "work": [
            {"kind": pace.kind or None, "factor": pace.factor, "count": pace.count}
            for pace in found.works
        ],
        "machines": [
            {
                "machine": each.machine,
                "material": each.material or None,
                "runs": each.runs,
                "failures": each.failures,
                "fail_start": each.start,
                "fail_hour": each.hour,
            }
            for each in found.machines
        ],
        "timings": [asdict(each) for each in found.timings],
        "faults": asdict(found.faults) if found.faults else None,
        "deliveries": asdict(found.deliveries) if found.deliveries else None,
    }
