"""More battery, its reserve the same watt-hours, or more array never holds fewer days.

By the search's own trials: settled charge, full runs, the adverse twin beside each. Drawn are the
rig's battery, reserve, array, cooler and loads, the place and its days, and what is done.
"""

from __future__ import annotations

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from noonhold.projection_request import ProjectionRequest
from noonhold.studies.sizing.sizes import Reserve, Scaling, Size, resized, size_of
from noonhold.studies.sizing.trials import Confidence, TrialRunner, bench_for
from noonhold.studies.study_base import ProjectionCache
from tests.engine.made import ROOF_ARRAY
from tests.properties.sized_requests import CATALOGUE, read, sized_requests

SCALING = Scaling(ROOF_ARRAY.name, reserve=Reserve.ENERGY)
some = settings(max_examples=15, deadline=None, phases=(Phase.explicit, Phase.generate))


def counts(bench: TrialRunner, size: Size) -> tuple[int, int]:
    """Return the days that hold, and those of them whose adverse twin holds too."""
    whole = bench.prepared.request.rig
    trial = bench.trial(resized(whole, size, SCALING), size)
    return trial.holding_days, trial.counting_days


def bench_of(request: ProjectionRequest) -> TrialRunner:
    return bench_for(ProjectionCache(CATALOGUE, read).prepare(request), Confidence.ADVERSE)


@given(sized_requests(), st.floats(1.1, 4.0))
@some
def test_more_battery_never_holds_fewer_days(request: ProjectionRequest, factor: float) -> None:
    bench, given_size = bench_of(request), size_of(request.rig, SCALING)
    larger = Size(given_size.battery_wh * factor, given_size.array_w)
    for few, many in zip(counts(bench, given_size), counts(bench, larger), strict=True):
        assert many >= few


@given(sized_requests(), st.floats(1.1, 4.0))
@some
def test_more_array_never_holds_fewer_days(request: ProjectionRequest, factor: float) -> None:
    bench, given_size = bench_of(request), size_of(request.rig, SCALING)
    assert given_size.array_w is not None
    larger = Size(given_size.battery_wh, given_size.array_w * factor)
    for few, many in zip(counts(bench, given_size), counts(bench, larger), strict=True):
        assert many >= few
