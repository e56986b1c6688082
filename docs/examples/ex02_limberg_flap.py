"""A Limberg flap: where each corner lands, and how a tilt takes the lower end off the midline."""

import numpy as np

from crena.flaps import rhombic
from crena.flaps.scars import measure_scar
from crena.geometry import motions, rhombi
from crena.records import Side

SIDE_MM = 50.0
OFF_MM = 20.0
ANAL_VERGE_MM = (0.0, -85.0)

long_diagonal_mm = SIDE_MM * np.sqrt(3)
tilt_deg = float(np.degrees(np.arcsin(OFF_MM / long_diagonal_mm)))
inradius_mm = SIDE_MM * np.sin(np.radians(60)) / 2

flap = rhombic.RhombicFlap(
    donor_side=Side.RIGHT, caudal_pivot=True, elevation_deg=0.0, tip_deg=60.0
)
upper_end = np.array([0.0, long_diagonal_mm / 2])
quad = rhombi.corner_points(np.array([[0.0, 0.0, inradius_mm, 60.0, tilt_deg, 0.0]]))[0]
closure = rhombic.close(quad - quad[0] + upper_end, flap)

at = closure.points_mm
landed = motions.moved(closure.flaps[0].motion, [at["D"], at["E"], at["F"]])
scar = measure_scar(closure, ANAL_VERGE_MM, marking_sd_mm=1.0)

if __name__ == "__main__":
    print(f"Tilt {tilt_deg:.1f} degrees; lower end {scar.lower_end_midline_mm:.0f} mm off.")
    for corner, place in zip("DEF", landed, strict=True):
        print(f"{corner} comes to ({round(place[0])}, {round(place[1])}) mm")
