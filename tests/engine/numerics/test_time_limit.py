"""A limit of time ends a study between two runs of the kernel, and no study but that."""

from threading import Thread

import pytest

from noonhold.documents import load_projection
from noonhold.numerics.time_limit import OutOfTimeError, check_time, time_limit
from noonhold.projection_result import run_projection
from noonhold.weather.catalogue import Catalogue
from noonhold_service.description.request_examples import REQUESTS


def project() -> float | None:
    request = load_projection(REQUESTS["own_hours"].document).value
    found = run_projection(request.rig, request.scenario, request.weather, Catalogue(()))
    return found.summary.lowest_charge


def test_a_projection_whose_time_is_over_is_not_begun() -> None:
    with pytest.raises(OutOfTimeError, match="longer than 0 s"), time_limit(0.0):
        project()
    assert project() is not None


def test_of_two_limits_the_earlier_holds() -> None:
    with time_limit(0.0), pytest.raises(OutOfTimeError), time_limit(1000.0):
        check_time()
    with time_limit(1000.0):
        with pytest.raises(OutOfTimeError), time_limit(0.0):
            check_time()
        check_time()
    check_time()


def test_other_threads_know_nothing_of_it() -> None:
    passed: list[bool] = []

    def look() -> None:
        check_time()
        passed.append(True)

    with time_limit(0.0):
        other = Thread(target=look)
        other.start()
        other.join()
    assert passed == [True]
