"""Skin as a prestressed membrane: its parameters, and one pure function per law.

The laws are written for the in-plane deformation gradient F of a thin incompressible
sheet: the thickness follows as 1 / det F and is condensed out. They return energy per
stress-free volume in kPa, which is mJ per mL, and accept complex numbers, so that
derivatives can be taken by a complex step.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.records import InputError, Record
from crena.records.units import N_PER_MM2_PER_KPA

Numbers = NDArray[Any]


SLACK_RATIO = 0.02
"""Share of the in-plane stiffness left under compression; assumed. Between 0.01 and 0.05 line
forces change by less than 2 % while the solver needs up to three times fewer steps than
with less (own study)."""

FIBRE_CAP_RATIO = 0.4
"""Fibre strain E beyond which the exponential goes on as a parabola; assumed. It is a hidden
material parameter: with tension lines along the donor's closing direction, total force
depends on it up to about 0.6 (own study)."""

NO_DISPERSION_RATIO = 0.0
"""All fibres along the tension lines."""

FULL_DISPERSION_RATIO = 1.0 / 3.0
"""Fibres equally in all directions (Gasser, Ogden & Holzapfel 2006, section 2)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Skin(Record):
    """One person's skin, as far as the membrane needs it; every number is a guess until measured.

    The tension is what the skin carries in the living body before anything is cut; the
    stretch that belongs to it is solved for, never given.
    """

    shear_kpa: float  #: of the ground substance at small strain
    fibre_kpa: float  #: fibre stiffness at small strain; 0 for skin without fibres
    fibre_exponent_ratio: float  #: how fast the fibres stiffen
    dispersion_ratio: float  #: 0, all along the tension lines, to 1/3, no direction
    thickness_mm: float  #: free of stress
    axis_deg: float  #: tension lines, anticlockwise from the patient's right, as the surgeon looks
    tension_along_n_per_mm: float  #: per mm of living skin, along the tension lines
    tension_across_n_per_mm: float
    foundation_n_per_mm3: float  #: hold of the fascia where the skin is not undermined
    fibre_cap_ratio: float = FIBRE_CAP_RATIO  #: hidden parameter, see FIBRE_CAP_RATIO
    slack_ratio: float = SLACK_RATIO


ASSUMED_SKIN = Skin(
    shear_kpa=40.0,
    fibre_kpa=200.0,
    fibre_exponent_ratio=20.0,
    dispersion_ratio=0.2,
    thickness_mm=2.5,
    axis_deg=0.0,
    tension_along_n_per_mm=0.06,
    tension_across_n_per_mm=0.03,
    foundation_n_per_mm3=2e-4,
)
"""A soft skin for demonstrations; every value assumed. The order of the tension follows the
10 to 20 N/m first assumed and the 70 to 230 N/m that an in-vivo study of the arm gives
(28 to 92 kPa times 2.5 mm); no source was found for the sacral region."""


def check_skin(skin: Skin) -> None:
    """Refuse numbers that no skin can have.

    Parameters
    ----------
    skin : Skin
        The parameters to look at.

    Raises
    ------
    InputError
        If a number is not finite, or outside the range in which the laws make sense.

    Examples
    --------
    >>> check_skin(ASSUMED_SKIN)
    """
    for name in Skin.__slots__:
        if not np.isfinite(getattr(skin, name)):
            raise InputError(f"Skin: {name} is not a finite number. Enter a plain number.")
    for name in _ABOVE_0:
        if getattr(skin, name) <= 0:
            raise InputError(f"Skin: {name} is {getattr(skin, name):g}. It must be above 0.")
    for name, most in _MOST.items():
        if not 0 <= getattr(skin, name) <= most:
            raise InputError(
                f"Skin: {name} is {getattr(skin, name):g}. It must lie between 0 and {most:.3g}."
            )


_ABOVE_0 = ("shear_kpa", "fibre_exponent_ratio", "thickness_mm", "fibre_cap_ratio")
_MOST = {
    "dispersion_ratio": FULL_DISPERSION_RATIO,
    "slack_ratio": 1.0,
    "fibre_kpa": 1e6,
    "foundation_n_per_mm3": 1e3,
    "tension_along_n_per_mm": 1e3,
    "tension_across_n_per_mm": 1e3,
}
"""Largest values; those of stiffness and tension are far beyond any tissue (assumed)."""


def law_numbers(skin: Skin) -> NDArray[np.float64]:
    """Return what the compiled sums need of a skin: stiffness in N/mm2, ratios, direction.

    >>> law_numbers(ASSUMED_SKIN).tolist()
    [0.04, 0.2, 20.0, 0.2, 0.4, 0.02, 1.0, 0.0]
    """
    axis = np.radians(skin.axis_deg)
    return np.array([
        skin.shear_kpa * N_PER_MM2_PER_KPA, skin.fibre_kpa * N_PER_MM2_PER_KPA,
        skin.fibre_exponent_ratio, skin.dispersion_ratio, skin.fibre_cap_ratio,
        skin.slack_ratio, np.cos(axis), np.sin(axis),
    ])  # fmt: skip


def neo_hookean_kpa(deformation: ArrayLike, shear_kpa: float) -> Numbers:
    """Return the energy of an incompressible neo-Hookean sheet in plane stress.

    Parameters
    ----------
    deformation : (..., 2, 2) float
        In-plane deformation gradient F, determinant above 0.
    shear_kpa : float
        Shear modulus mu.

    Notes
    -----
    W = mu/2 (tr C + 1/det C - 3), C = F^T F: the neo-Hookean solid (Rivlin 1948) with the
    thickness stretch 1/det F put in. Uniaxial: mu (l - l^-2) per stress-free area;
    equibiaxial: mu (l - l^-5).

    Examples
    --------
    >>> float(neo_hookean_kpa([[2.0, 0.0], [0.0, 0.5]], 30.0))
    33.75
    """
    return np.asarray(0.5 * shear_kpa * _first_invariant_less_3(np.asarray(deformation)))


def relaxed_kpa(deformation: ArrayLike, shear_kpa: float) -> Numbers:
    """Return the energy of the same sheet when it cannot carry compression.

    Parameters
    ----------
    deformation : (..., 2, 2) float
        In-plane deformation gradient, determinant above 0.
    shear_kpa : float
        Shear modulus mu.

    Notes
    -----
    Tension field, relaxed energy (Pipkin, IMA J Appl Math 1986;36:85, from memory), with
    principal stretches l1 >= l2: taut W_NH; wrinkled (l2 < l1^-1/2, l1 > 1)
    mu/2 (l1^2 + 2/l1 - 3); slack 0.

    Examples
    --------
    >>> float(relaxed_kpa([[2.0, 0.0], [0.0, 0.5]], 30.0))
    30.0
    """
    f = np.asarray(deformation)
    long, short = principal_stretches(f)
    wrinkled = 0.5 * shear_kpa * (long**2 + 2 / long - 3)
    taut = 0.5 * shear_kpa * _first_invariant_less_3(f)
    is_taut = (long * short**2).real >= 1
    return np.asarray(np.where(is_taut, taut, np.where(long.real > 1, wrinkled, 0.0)))


def fibre_strain_ratio(deformation: ArrayLike, axis_deg: float, dispersion_ratio: float) -> Numbers:
    """Return the mean fibre strain E.

    Parameters
    ----------
    deformation : (..., 2, 2) float
        In-plane deformation gradient, determinant above 0.
    axis_deg : float
        Mean fibre direction.
    dispersion_ratio : float
        0, all along the axis, to 1/3, no direction.

    Notes
    -----
    E = kappa (I1 - 3) + (1 - 3 kappa) (I4 - 1) (Gasser, Ogden & Holzapfel, J R Soc
    Interface 2006;3:15).
    """
    f, a = np.asarray(deformation), np.radians(axis_deg)
    along = f @ np.array([np.cos(a), np.sin(a)])
    fourth = (along**2).sum(axis=-1)
    k = dispersion_ratio
    return np.asarray(k * _first_invariant_less_3(f) + (1 - 3 * k) * (fourth - 1))


def fibre_kpa(strain_ratio: ArrayLike, skin: Skin) -> Numbers:
    """Return the energy of the fibres at mean fibre strain E.

    Parameters
    ----------
    strain_ratio : (...,) float
        E, as `fibre_strain_ratio` gives it.
    skin : Skin
        Stiffness k1, exponent k2 and cap.

    Notes
    -----
    W = k1 / (2 k2) (exp(k2 <E>^2) - 1) (Gasser, Ogden & Holzapfel 2006), with two changes.
    Fibres pull where E > 0, not where I4 > 1: E is above 0 at I4 = 1 through kappa (I1 - 3),
    so a switch on I4 would make W jump. Beyond the cap W goes on as the parabola that
    shares value, slope and curvature with it.
    """
    e = np.asarray(strain_ratio)
    k1, k2, cap = skin.fibre_kpa, skin.fibre_exponent_ratio, skin.fibre_cap_ratio
    inner = np.where(e.real > cap, cap, np.where(e.real > 0, e, 0.0))
    beyond = np.where(e.real > cap, e - cap, 0.0)
    grown = np.exp(k2 * inner**2)
    curvature = k1 * (1 + 2 * k2 * inner**2) * grown
    parabola = k1 * inner * grown * beyond + 0.5 * curvature * beyond**2
    return np.asarray(0.5 * k1 / k2 * (grown - 1) + parabola)


def energy_kpa(deformation: ArrayLike, skin: Skin) -> Numbers:
    """Return the whole energy of skin, per stress-free volume.

    Parameters
    ----------
    deformation : (..., 2, 2) float
        In-plane deformation gradient from the stress-free state, determinant above 0.
    skin : Skin
        The parameters.

    Notes
    -----
    W = (1 - eta) W_relaxed + eta W_neo-Hookean + W_fibre, eta the slack ratio. Fibres are
    not relaxed: their strain is taken from F as it is, also where the sheet wrinkles.
    """
    strain = fibre_strain_ratio(deformation, skin.axis_deg, skin.dispersion_ratio)
    ground = neo_hookean_kpa(deformation, skin.shear_kpa)
    relaxed = relaxed_kpa(deformation, skin.shear_kpa)
    eta = skin.slack_ratio
    return np.asarray((1 - eta) * relaxed + eta * ground + fibre_kpa(strain, skin))


def principal_stretches(deformation: ArrayLike) -> tuple[Numbers, Numbers]:
    """Return the larger and the smaller principal stretch of F (..., 2, 2).

    >>> [float(stretch) for stretch in principal_stretches([[0.0, -2.0], [0.5, 0.0]])]
    [2.0, 0.5]
    """
    f = np.asarray(deformation)
    turn = np.sqrt((f[..., 0, 0] + f[..., 1, 1]) ** 2 + (f[..., 1, 0] - f[..., 0, 1]) ** 2)
    shear = np.sqrt((f[..., 0, 0] - f[..., 1, 1]) ** 2 + (f[..., 1, 0] + f[..., 0, 1]) ** 2)
    return np.asarray((turn + shear) / 2), np.asarray((turn - shear) / 2)


def _first_invariant_less_3(f: Numbers) -> Numbers:
    determinant = f[..., 0, 0] * f[..., 1, 1] - f[..., 0, 1] * f[..., 1, 0]
    return np.asarray((f**2).sum(axis=(-2, -1)) + 1 / determinant**2 - 3)
