"""Tracts from probing: a pit, a direction on the skin, a length, a depth at the tip."""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from crena.geometry.unrolling import SkinMap, height_mm, roll_mm
from crena.records import (
    Cavity,
    InputError,
    Origin,
    Pit,
    PitEntry,
    Precision,
    Probing,
    Side,
    Surface,
    Tract,
)
from crena.records.cases import BodyEntry
from crena.sinus.readings import cavity_of, tract_of

Floats = NDArray[np.float64]

REGION_MM = 140.0
"""Half the extent of a skin that is entered and not scanned."""

ENTERED_SD_MM = 2.0
"""One standard deviation of a skin height that rests on two entered figures (assumed)."""

STEP_MM = 1.5


def entered_skin(body: BodyEntry) -> Surface:
    """Return the skin that two measures of the cleft describe: a Gaussian valley.

    Parameters
    ----------
    body : BodyEntry
        Depth of the cleft, and the distance from the midline at which the skin has risen
        by 86 % of it: twice the scale of the Gaussian.
    """
    x = np.linspace(-REGION_MM, REGION_MM, 281)
    scale = body.cleft_half_width_mm / 2
    z = body.cleft_depth_mm * -np.expm1(-(x**2) / (2 * scale**2))
    row = tuple(float(v) for v in z)
    return Surface(
        x_mm=tuple(float(v) for v in x),
        y_mm=(-REGION_MM, REGION_MM),
        z_mm=(row, row),
        origin=Origin.ENTERED,
        sd_mm=ENTERED_SD_MM if body.cleft_depth_mm else 0.0,
    )


def entered_pit(entry: PitEntry, skin: SkinMap) -> Pit:
    """Place a pit that was measured with a ruler on the skin."""
    s = entry.off_midline_mm * _sign(entry.side, f"Pit {entry.name}", entry.off_midline_mm)
    x, y, z = roll_mm(skin, [[s, entry.above_coccyx_tip_mm]])[0]
    return Pit(
        name=entry.name,
        at_mm=(float(s), entry.above_coccyx_tip_mm),
        position_mm=(float(x), float(y), float(z)),
        radius_mm=entry.radius_mm,
        origin=Origin.PROBING,
    )


def probed_tract(probing: Probing, pit: Pit, skin: SkinMap, precision: Precision) -> Tract:
    """Return the straight tube that one pass of the probe describes.

    Parameters
    ----------
    probing : Probing
        What was felt.
    pit : Pit
        Where the probe went in.
    skin : SkinMap
        The skin above it, for the depth of the tip.
    precision : Precision
        Errors of length and angle.

    Raises
    ------
    InputError
        If the tip is said to be deeper than the probe is long, or to lie out of the region.
    """
    if probing.tip_depth_mm >= probing.length_mm:
        raise InputError(
            f"Tract {probing.tract}: the tip is {probing.tip_depth_mm:.0f} mm deep but the probe "
            f"went only {probing.length_mm:.0f} mm. Check both figures."
        )
    tip = _tip(probing, pit, skin)
    n = int(np.ceil(probing.length_mm / STEP_MM)) + 1
    start = np.asarray(pit.position_mm)
    line = start + np.linspace(0, 1, n)[:, None] * (tip - start)
    swing = probing.length_mm * np.sin(np.radians(precision.probe_angle_sd_deg))
    sd = float(np.sqrt((precision.probe_length_sd_mm**2 + 2 * swing**2) / 3))
    return tract_of(
        probing.tract,
        line,
        np.full(n, probing.outer_radius_mm),
        skin,
        origin=Origin.PROBING,
        sds_mm=(sd, precision.probe_length_sd_mm),
    )


def probed_cavity(probing: Probing, tract: Tract, tip_sd_mm: float) -> Cavity | None:
    """Return the hollow that was felt at the tip, if one was."""
    if probing.cavity_radius_mm is None:
        return None
    half_axes = probing.cavity_radius_mm * np.eye(3)
    return cavity_of(
        f"{probing.tract} end",
        np.asarray(tract.centre_mm[-1]),
        half_axes,
        origin=Origin.PROBING,
        sd_mm=tip_sd_mm,
    )


def _tip(probing: Probing, pit: Pit, skin: SkinMap) -> Floats:
    angle = np.radians(probing.from_cranial_deg)
    sideways = float(np.sin(angle)) * _sign(
        probing.side, f"Tract {probing.tract}", abs(float(np.sin(angle)))
    )
    way = np.array([sideways, float(np.cos(angle))])
    start = np.asarray(pit.position_mm)

    def end(run_mm: float) -> Floats:
        xy = start[:2] + run_mm * way
        return np.array([*xy, height_mm(skin, xy[None])[0] - probing.tip_depth_mm])

    def excess(run_mm: float) -> float:
        return float(np.linalg.norm(end(run_mm) - start)) - probing.length_mm

    furthest = probing.length_mm * (1 + 1e-9)
    return end(float(brentq(excess, 0.0, furthest, xtol=1e-9)))


def _sign(side: Side | None, what: str, off: float) -> int:
    if off < 1e-9:
        return 1
    if side is None:
        raise InputError(f"{what} leaves the midline; say to which side of the patient.")
    return side.sign
