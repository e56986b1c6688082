"""Whether the drain's stated ranges hold on many invented drains, and how long one takes."""

from dataclasses import replace
from statistics import median
from time import perf_counter

import numpy as np

from benchmarks import Row, sample
from crena.healing.drain_forecast import forecast_drain
from crena.healing.drain_learning import calibration, unit_prior
from crena.healing.drain_model import WIDE_PRIOR
from crena.records import DrainRule

drains = sample("sample_drains")

CASES = 2000
LEAST, MOST = 0.78, 0.93
LEARNT_FROM = 30
REPEATS = 200
MOST_MS = 10.0


def drain_coverage() -> Row:
    """Share of true days inside the range, for 1 to 5 readings, harms and slow units."""
    rng = np.random.default_rng(1)
    learnt = unit_prior(drains.finished_courses(rng, LEARNT_FROM, drains.SLOW))
    shares = {name: _share(trial, rng) for name, trial in _trials(learnt).items()}
    unlearnt = _share(drains.Trial(readings=3, population=drains.SLOW, prior=WIDE_PRIOR), rng)
    worst = max(shares.values(), key=lambda share: abs(share - (LEAST + MOST) / 2))
    listed = ", ".join(f"{name} {share:.3f}" for name, share in shares.items())
    return Row(
        name="drain-coverage",
        value=worst,
        unit="share inside",
        bar=f"{LEAST} to {MOST}",
        met=all(LEAST <= share <= MOST for share in shares.values()),
        detail=f"{listed}; slow before learning {unlearnt:.3f} (no bar); {CASES} cases each",
    )


def _trials(learnt: object) -> dict[str, object]:
    wide = drains.Trial(readings=3, prior=WIDE_PRIOR)
    slow = replace(wide, population=drains.SLOW, prior=learnt)
    counts = range(1, 6)
    return {
        **{f"{n} readings": drains.Trial(readings=n) for n in counts},
        **{f"{n} wide": replace(wide, readings=n) for n in counts},
        "two in a row": replace(wide, rule=DrainRule(readings=2)),
        "missing 3": replace(wide, harm=drains.one_missing),
        "missing 5": replace(wide, readings=5, harm=drains.one_missing),
        "wrong 3": replace(wide, harm=drains.one_wrong),
        "wrong 5": replace(wide, readings=5, harm=drains.one_wrong),
        **{f"slow {n}": replace(slow, readings=n) for n in counts},
    }


def _share(trial: object, rng: np.random.Generator) -> float:
    rows = calibration(drains.past_forecasts(trial, CASES, rng))
    return sum(row.inside for row in rows) / CASES


def drain_forecast_ms() -> Row:
    """One forecast after five readings, two in a row asked for, prior already laid out."""
    seen = drains.course(80.0, 60.0, 50.0, 40.0, 33.0)
    times_ms = [_milliseconds(seen) for _ in range(REPEATS)]
    first, later = times_ms[0], median(times_ms[1:])
    return Row(
        name="drain-forecast-ms",
        value=later,
        unit="ms",
        bar=f"<= {MOST_MS:.0f}",
        met=later <= MOST_MS,
        detail=f"first {first:.1f} ms, 5 readings, {DrainRule().latest_day} days",
    )


def _milliseconds(seen: object) -> float:
    start = perf_counter()
    forecast_drain(seen, DrainRule(readings=2))
    return (perf_counter() - start) * 1000


BENCHMARKS = {"drain-coverage": drain_coverage, "drain-forecast-ms": drain_forecast_ms}
