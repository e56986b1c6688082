"""The smallest rhombus round a tract, free and with its lower end off the midline.

A tract of 40 mm along the midline, radius 2 mm, asks for 10 mm all round: a stadium.
"""

import numpy as np

from crena.geometry import rhombi

ends = np.array([[0.0, 0.0], [0.0, 40.0]])
reach = np.full(2, 2.0 + 10.0)

upright = rhombi.smallest_rhombus(ends, reach, acute_deg=60.0)
free = rhombi.smallest_rhombus(ends, reach)

off_midline = rhombi.CornerLimits(
    lower_end_midline_mm=20.0,
    lower_end_sign=-1,
    anal_verge_s_mm=0.0,
    anal_verge_y_mm=-60.0,
    anal_verge_mm=25.0,
)
bound = rhombi.smallest_constrained_rhombus(ends, reach, off_midline)

if __name__ == "__main__":
    for name, found in (("60 degrees", upright), ("free angle", free), ("off midline", bound)):
        print(
            f"{name:<12} side {found.side_mm:5.1f} mm, acute {found.acute_deg:4.1f} degrees, "
            f"tilt {found.tilt_deg:5.1f} degrees, skin {found.area_mm2 / 100:5.1f} cm2"
        )
