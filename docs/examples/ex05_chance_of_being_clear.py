"""What a drawn margin is worth: the chance that the true clearance is at least 5 mm.

Four straight walls round a footprint, the map off by a shared error. A margin that is
drawn with exactly what is asked for is almost never that wide in truth.
"""

import numpy as np

from crena.sinus.clearance import WallGap, chance_clear

WALLS_DEG = (30.0, 150.0, 210.0, 330.0)
ASKED_MM = 5.0


def walls(drawn_mm):
    return tuple(
        WallGap(
            part="T1",
            wall=f"{angle:.0f}",
            gaps=np.array([drawn_mm]),
            normals=np.array([[np.cos(np.radians(angle)), np.sin(np.radians(angle)), 0.0]]),
            at=np.zeros(3),
            sd_mm=0.5,
        )
        for angle in WALLS_DEG
    )


table = {
    (drawn_mm, sd_mm): chance_clear(
        walls(drawn_mm), ASKED_MM, sd_mm, np.random.default_rng(5)
    ).chance
    for drawn_mm in (5.0, 7.0, 8.0, 10.0)
    for sd_mm in (1.0, 2.0, 3.0)
}

if __name__ == "__main__":
    print("drawn   sd 1 mm  sd 2 mm  sd 3 mm")
    for drawn_mm in (5.0, 7.0, 8.0, 10.0):
        row = "".join(f"{table[drawn_mm, sd]:9.2f}" for sd in (1.0, 2.0, 3.0))
        print(f"{drawn_mm:4.0f} mm{row}")
