"""Answers what pages ask for, so that they are looked at with everything on them."""

from typing import Any

from PySide6.QtWidgets import QApplication

from fabsched.advise.counsel import Counselled
from fabsched.estimate.features import features_of
from fabsched.session.advice_request import AdviceRequest, AdviceResponse
from fabsched.session.export_request import ExportRequest
from fabsched.session.features_request import FeaturesRequest, FeaturesResponse
from fabsched.session.foresight_request import BearingRequest
from fabsched.session.ladder_request import LadderRequest
from fabsched.session.plates_request import PlatesRequest, PlatesResponse
from fabsched.session.pool import Finished
from fabsched.session.requests import PosesRequest, PosesResponse
from fabsched.session.ways import WaysRequest
from tests.desktop import shapes
from tests.desktop.advice.test_advice_page import DROP, LOOK, NEEDED, SEEN
from tests.desktop.compare.test_compare_page import response as ways
from tests.desktop.fakes import FakePool
from tests.desktop.odds.test_odds_page import bearing
from tests.desktop.test_beds_page import response as export
from tests.desktop.test_part_page import POSES


def reply(request: Any) -> Any:
    """What a view's request comes to, made up; None for what the pool answers itself."""
    match request:
        case AdviceRequest():
            told = Counselled(advice=(DROP, NEEDED, LOOK), looks=(SEEN,))
            answer: Any = AdviceResponse(id=request.id, told=told)
        case BearingRequest():
            answer = bearing(request.id)
        case ExportRequest():
            answer = export(request)
        case FeaturesRequest():
            answer = FeaturesResponse(id=request.id, found=features_of(shapes.wedge()))
        case PlatesRequest():
            answer = PlatesResponse(id=request.id, part="cradle")
        case PosesRequest():
            answer = PosesResponse(id=request.id, poses=POSES)
        case LadderRequest():
            answer = request.run()
        case WaysRequest():
            answer = ways(request.id)
        case _:
            answer = None
    return answer


def load(pool: FakePool) -> list[str]:
    """Answer until nobody waits for anything.

    Returns:
        What was asked that nobody here can answer: pages that stay as they are while loading.
    """
    QApplication.processEvents()
    for _ in range(10):
        known = [(ident, reply(request)) for ident, (request, _) in pool.held.items()]
        for ident, answer in known:
            if answer is not None:
                pool.end(ident, Finished(ident, answer))
        for _ in range(3):
            QApplication.processEvents()
        if not any(answer is not None for _, answer in known):
            break
    return [type(request).__name__ for request, _ in pool.held.values()]
