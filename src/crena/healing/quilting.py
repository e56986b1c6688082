"""Quilting: how many stitches a spacing needs, and how much smaller the pockets get.

Stitches stand on a grid of equilateral triangles with side q. Between them fluid lifts the
flap like a membrane. A round pocket of radius R under pressure p and pull T holds
pi p R^4 / 8T, so at the same pressure and pull one pocket falls with q^4. There are 1/q^2
times as many of them, so that all together fall with q^2.
"""

from collections.abc import Iterable

import numpy as np

from crena.records import InputError
from crena.records.fillings import Quilting

SPACINGS_MM = (10.0, 15.0, 20.0, 30.0)
"""Spacings that are shown beside each other (15 to 20 mm in deep fat: common practice)."""


def quilting(area_mm2: float, spacings_mm: Iterable[float] = SPACINGS_MM) -> tuple[Quilting, ...]:
    """Compare spacings of quilting stitches over one area.

    Parameters
    ----------
    area_mm2 : float
        Floor over which the flap is quilted.
    spacings_mm : iterable of float
        Distance from a stitch to its six neighbours.

    Returns
    -------
    tuple of Quilting
        One row for each spacing; fewer than one stitch is written as one.

    Raises
    ------
    InputError
        If the area or a spacing is not above 0.

    Notes
    -----
    N = 2A / (sqrt3 q^2); farthest place q / sqrt3; a pocket has the area A/N as a disc. The
    rim of each pocket is taken to be held all round, though a stitch holds only a point, so
    a ratio is the least that quilting leaves. For comparing spacings only.

    Examples
    --------
    >>> [(row.stitches, round(row.farthest_mm, 1)) for row in quilting(2165.0)]
    [(25, 5.8), (11, 8.7), (6, 11.5), (3, 17.3)]
    """
    return tuple(_row(area_mm2, spacing) for spacing in spacings_mm)


def _row(area_mm2: float, spacing_mm: float) -> Quilting:
    if not (area_mm2 > 0 and spacing_mm > 0):
        raise InputError(
            f"Quilting stitches {spacing_mm:g} mm apart over {area_mm2:g} mm² cannot be counted. "
            "Enter a spacing and an area above 0."
        )
    pockets = max(1.0, 2 * area_mm2 / (np.sqrt(3) * spacing_mm**2))
    return Quilting(
        spacing_mm=spacing_mm,
        stitches=round(pockets),
        farthest_mm=float(spacing_mm / np.sqrt(3)),
        pocket_ratio=float(pockets**-2),
        gap_ratio=float(1 / pockets),
    )
