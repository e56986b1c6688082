"""From a scan and two clicks to a tract, held against the truth of a phantom."""

import numpy as np
from scipy.spatial import cKDTree

from crena.imaging import PhantomRecipe, render
from crena.records import TractClicks
from crena.sinus.trace import trace_tract

CLICK_ERROR_MM = 1.5

phantom = render(PhantomRecipe(seed=4))
truth = phantom.tracts[1]
rng = np.random.default_rng(4)


def clicked(point):
    x, y, z = np.asarray(point) + rng.normal(0, CLICK_ERROR_MM / np.sqrt(3), 3)
    return float(x), float(y), float(z)


clicks = TractClicks(
    name=truth.name,
    pit_lps_mm=clicked(truth.centre_lps_mm[0]),
    blind_end_lps_mm=clicked(truth.centre_lps_mm[-1]),
)
tract = trace_tract(phantom.volume, clicks)
error_mm = cKDTree(truth.centre_lps_mm).query(tract.centre_lps_mm)[0]
true_length_mm = float(np.linalg.norm(np.diff(truth.centre_lps_mm, axis=0), axis=1).sum())

if __name__ == "__main__":
    print(f"Middle line off by {error_mm.mean():.2f} mm on the mean, {error_mm.max():.2f} at most.")
    print(
        f"Length {tract.length_mm:.1f} mm, stated error {tract.length_sd_mm:.1f} mm; "
        f"truth {true_length_mm:.1f} mm."
    )
