"""Whether random wounds come to rest, and whether faults ever end in a figure."""

from collections import Counter

import numpy as np

from benchmarks import Row, sample
from crena.mechanics.closed import Status
from crena.mechanics.solver import close_prepared
from crena.records import CrenaError

faults = sample("sample_faults")

CLOSURES = 2_000
INJECTIONS = 10_000
INJECTIONS_PER_SHEET = 50


def robust_closures() -> Row:
    """Random closures of all families, each on a random skin: how many give no figure."""
    rng, steps, reasons = np.random.default_rng(41), [], Counter[str]()
    finer = 0
    for _ in range(CLOSURES):
        try:
            prepared, refused = faults.random_sheet(rng)
        except CrenaError as refusal:
            reasons[f"refused: {refusal}"] += 1
            continue
        state = close_prepared(prepared, faults.random_skin(rng))
        finer += refused
        steps.append(state.iterations)
        if state.status is not Status.CONVERGED:
            reasons[f"{state.status}: {state.reason}"] += 1
    usual, many = np.quantile(steps, [0.5, 0.95])
    told = (
        f"{CLOSURES} closures; steps {usual:.0f}, in 95 % up to {many:.0f}, at most {max(steps)}",
        f"{finer} meshes refused, then made with a shorter step",
        *_listed(reasons),
    )
    return _row("robust-closures", "without a figure", reasons.total(), "; ".join(told))


def robust_faults() -> Row:
    """Faults put into random closures: how many end in a figure or without their reason."""
    rng, wrong = np.random.default_rng(42), Counter[str]()
    kinds = list(faults.FAULTS)
    for n in range(INJECTIONS):
        if n % INJECTIONS_PER_SHEET == 0:
            prepared, _ = faults.random_sheet(rng)
        fault = kinds[n % len(kinds)]
        for leak in faults.leaks(fault(prepared, faults.random_skin(rng), rng), fault):
            wrong[f"{fault.__name__} {leak}"] += 1
    told = f"{INJECTIONS} faults of {len(kinds)} kinds, {len(faults.readers())} readers"
    return _row("robust-faults", "leaks", wrong.total(), "; ".join([told, *_listed(wrong)]))


def _listed(counts: Counter[str]) -> list[str]:
    return [f"{count} x {what}" for what, count in counts.most_common()]


def _row(name: str, unit: str, bad: int, detail: str) -> Row:
    return Row(name=name, value=bad, unit=unit, bar="<= 0", met=bad == 0, detail=detail)


BENCHMARKS = {"robust-closures": robust_closures, "robust-faults": robust_faults}
