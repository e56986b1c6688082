"""Random wounds on random skins come to rest or say why not; faults never end in a figure."""

import numpy as np
import pytest
from sample_faults import (
    FAULTS,
    leaks,
    random_sheet,
    random_skin,
    read,
    readers,
)

from crena.mechanics.closed import Status
from crena.mechanics.solver import close_prepared


@pytest.fixture(scope="module")
def sheets():
    rng = np.random.default_rng(31)
    return [random_sheet(rng)[0] for _ in range(20)]


def test_random_wounds_of_all_families_close_on_random_skins(sheets):
    rng = np.random.default_rng(32)
    for prepared in sheets * 3:
        state = close_prepared(prepared, random_skin(rng))
        assert state.status is Status.CONVERGED, state.reason
        assert state.residual_n <= state.tolerance_n


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.__name__)
def test_a_fault_ends_with_its_reason_and_never_with_a_figure(fault, sheets):
    rng = np.random.default_rng(33)
    for n in range(34):
        state = fault(sheets[n % len(sheets)], random_skin(rng), rng)
        assert leaks(state, fault) == []


def test_the_same_sheets_have_figures_when_nothing_fails(sheets):
    """Otherwise the test above would pass on readers that refuse everything."""
    known = {reader.__name__ for reader in readers()}
    assert {"suture_forces", "window_forces_n", "scar_lines_mm", "midlines"} <= known
    state = close_prepared(sheets[0], random_skin(np.random.default_rng(34)))
    for reader in readers():
        assert read(reader, state) is not None
