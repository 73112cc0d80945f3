"""A fitted rig can be sent back: wherever its factors may go, its document is one that is read."""

from typing import Any

import pytest

from noonhold.documents import dump_rig, load_rig
from noonhold.studies.calibration.factors import FACTORS, factor_limits, scaled_rig
from tests.engine.document_samples import RIG, changed

WIDTHS = {kind.name: kind.prior_width for kind in FACTORS}
EDGES = {
    "a wall at the films' limit": ("/shell/panels/1/u_value_w_m2k", 4.6),
    "a bare resistance": ("/shell/panels/2/layers/0", {"thermal_resistance_m2k_w": 9}),
    "a small array": ("/arrays/0/rated_power_w", 1.2),
}


@pytest.mark.parametrize("edge", EDGES.values(), ids=EDGES)
@pytest.mark.parametrize("end", ["lower", "upper"])
def test_a_fitted_rig_can_be_sent_back(edge: tuple[str, Any], end: str) -> None:
    rig = load_rig(changed(RIG, edge)).value
    limits = factor_limits(rig, WIDTHS)
    for name in ("shell_conductance", "array_power"):
        fitted = scaled_rig(rig, {name: getattr(limits[name], end)})
        assert load_rig(dump_rig(fitted)).value.shell.panels[1].name == "right"
