"""The request for what bears on the odds: pure, and stopped when asked."""

import pickle

import pytest

from fabsched.model.errors import Cancelled
from fabsched.session.odds_request import OddsRequest
from tests.cli.made import answer, weekend
from tests.odds.test_decisions import Impatient


def test_the_same_request_gives_the_same_response_anywhere() -> None:
    """It crosses to another process and back, and says the same twice."""
    request = OddsRequest(weekend=weekend(), answer=answer(), seed=3)
    there = pickle.loads(pickle.dumps(request))  # noqa: S301 - what we have just written
    response = request.run()
    assert pickle.loads(pickle.dumps(there.run())) == response  # noqa: S301 - likewise
    assert response.id == request.id
    assert response.told.outlooks


def test_it_stops_when_asked() -> None:
    """Whoever watches may say so."""
    with pytest.raises(Cancelled):
        OddsRequest(weekend=weekend(), answer=answer()).run(Impatient())
