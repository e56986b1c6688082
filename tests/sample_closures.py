"""Random closures of every family, with sizes, angles, sides and tilts as a wound may have."""

import numpy as np

from crena.flaps import advancement, midline, rhombic, rotation, triangular, v_y, z_plasty
from crena.geometry import rhombi
from crena.geometry.lenses import Fusiform, Lens
from crena.records import Side


def random_rhombic(rng):
    row = [rng.uniform(-30, 30), rng.uniform(-10, 60), rng.uniform(9, 18), rng.uniform(60, 90)]
    quad = rhombi.corner_points(np.array([[*row, rng.uniform(-90, 90), rng.uniform(-0.1, 0.1)]]))[0]
    quad[rng.integers(4)] += rng.uniform(-4, 4, 2)
    flap = rhombic.RhombicFlap(
        donor_side=list(Side)[rng.integers(2)], caudal_pivot=bool(rng.integers(2)),
        elevation_deg=rng.uniform(0, 45), tip_deg=rng.uniform(30, 75),
        first_ratio=rng.uniform(0.85, 1.15), second_ratio=rng.uniform(0.85, 1.15),
    )  # fmt: skip
    return rhombic.close(quad, flap)


def random_advancement(rng):
    side, length_mm = list(Side)[rng.integers(2)], rng.uniform(50, 100)
    sagittas_mm = rng.uniform(4, length_mm * 0.35, 2)
    lens = Lens(
        cranial_pole_mm=(side.sign * 20.0, length_mm),
        caudal_pole_mm=(side.sign * rng.uniform(10, 30), 0.0),
        left_sagitta_mm=sagittas_mm[0], right_sagitta_mm=sagittas_mm[1],
    )  # fmt: skip
    return advancement.close(lens, side)


def random_fusiform(rng):
    fusiform = Fusiform(
        centre_s_mm=rng.uniform(-10, 10), centre_y_mm=30.0, length_mm=rng.uniform(40, 100),
        aspect_ratio=rng.uniform(2, 5), tilt_deg=rng.uniform(-40, 40),
    )  # fmt: skip
    return (midline.close, midline.leave_open)[rng.integers(2)](fusiform)


def a_side(rng):
    return list(Side)[rng.integers(2)]


def a_place(rng):
    return {
        "centre_s_mm": rng.uniform(-20, 20), "centre_y_mm": rng.uniform(0, 50),
        "tilt_deg": rng.uniform(-40, 40),
    }  # fmt: skip


def random_v_y(rng):
    width_mm = rng.uniform(30, 50)
    return v_y.close(
        v_y.IslandFlap(
            donor_side=a_side(rng), width_mm=width_mm, gap_mm=width_mm * rng.uniform(0.25, 0.8),
            height_ratio=rng.uniform(1.8, 2.5), **a_place(rng),
        )
    )  # fmt: skip


def random_rotation(rng):
    arc_deg = rng.uniform(45, 180)
    radius_mm = rng.uniform(30, 45 if arc_deg > 100 else 75)
    base_mm = min(radius_mm * np.radians(arc_deg) / rng.uniform(2.5, 6), 0.8 * radius_mm)
    return rotation.close(
        rotation.RotationFlap(
            donor_side=a_side(rng), base_cranial=bool(rng.integers(2)), base_mm=base_mm,
            height_mm=min(base_mm * rng.uniform(0.8, 1.6), radius_mm), radius_mm=radius_mm,
            arc_deg=arc_deg, **a_place(rng),
        )
    )  # fmt: skip


def random_z(rng):
    first_deg, second_deg = rng.uniform(30, 90, 2)
    return z_plasty.close(
        z_plasty.ZPlasty(
            first_side=a_side(rng), limb_mm=rng.uniform(20, 60), first_angle_deg=first_deg,
            second_angle_deg=second_deg, **a_place(rng),
        )
    )  # fmt: skip


def random_triangular(rng):
    base_mm = rng.uniform(15, 35)
    apex = base_mm * np.array([rng.uniform(-0.3, 0.3), rng.choice([-1, 1]) * rng.uniform(1.2, 2)])
    triangle = np.array([apex, (-base_mm / 2, 0), (base_mm / 2, 0)]) + rng.uniform(-20, 20, 2)
    flaps = triangular.UnequalFlaps(
        donor_side=a_side(rng), first_tip_deg=rng.uniform(40, 75),
        second_tip_deg=rng.uniform(35, 75), limb_ratio=rng.uniform(0.9, 1.1),
    )  # fmt: skip
    return triangular.close(triangle, flaps)


RANDOM = (
    random_rhombic, random_advancement, random_fusiform, random_v_y, random_rotation, random_z,
    random_triangular,
)  # fmt: skip
