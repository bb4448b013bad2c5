"""`fabsched odds`: how sure it is, and what bears on that."""

import json
from argparse import Namespace

from fabsched.cli.advice_text import (
    advice_documents,
    advice_on,
    look_documents,
    print_advice,
    print_looks,
)
from fabsched.cli.judged_text import judged_document, judged_on, print_judged
from fabsched.cli.odds_document import odds_told_document
from fabsched.cli.odds_text import print_odds
from fabsched.cli.plan_text import missed_text
from fabsched.cli.planning import moment_of, planned, tell
from fabsched.cli.progress import run_in
from fabsched.cli.surroundings import Surroundings
from fabsched.session.bench import Bench
from fabsched.session.checks import check_deadline
from fabsched.session.odds_request import OddsRequest, planned_with_ways
from fabsched.session.pool import Pool


def odds(arguments: Namespace, surroundings: Surroundings) -> bool:
    """Plan as `plan` does and print the odds, with setbacks ranked by what they cost.

    Returns:
        Whether the plan meets the deadline.

    Raises:
        InputError: a file is at fault, or the project cannot be carried out.
        WorkerLost: a worker process died.
    """
    bench = Bench.open(arguments.project)
    now = moment_of(arguments.now, bench, surroundings)
    if not bench.log.state.has_begun:
        check_deadline(bench.project.deadline, now)
    bench.learn(surroundings.clock())
    with Pool() as pool:
        response = planned(bench, now, arguments.seed, pool)
        request = OddsRequest(
            weekend=response.weekend,
            answer=response.answer,
            seen=bench.experiences.light,
            seed=arguments.seed,
            planned=planned_with_ways(bench, response.weekend, arguments.seed),
        )
        (done,) = run_in(pool, [request])
        advice = advice_on(bench, response, now, arguments.seed, pool, thorough=True)
    if arguments.json:
        now_s = int(now.timestamp())
        document = odds_told_document(bench.project, response.weekend, done.told, now_s=now_s)
        document["checks"] = look_documents(advice.looks)
        document["coupons"] = look_documents(advice.coupons)
        document["advice"] = advice_documents(advice.advice, bench)
        document["calibration"] = judged_document(judged_on(bench))
        print(json.dumps(document, indent=2))  # noqa: T201 - the output
    else:
        print_odds(bench.project, response.weekend, done.told)
        print_looks(advice)
        print_advice(advice.advice, bench)
        print_judged(judged_on(bench))
    missed = missed_text(response.weekend, response.answer)
    if missed:
        tell(missed)
    return not missed
