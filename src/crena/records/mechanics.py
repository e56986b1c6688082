"""What is known of the pull of a closed wound: relative, not validated."""

from dataclasses import dataclass

from crena.records.base import Record


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamPull(Record):
    """What the sutures of one seam carry."""

    name: str
    donor: bool
    force_n: float  #: median over the skins
    force_low_n: float  #: 5 of 100 skins pull less
    force_high_n: float  #: 5 of 100 skins pull more


@dataclass(frozen=True, slots=True, kw_only=True)
class Mechanics(Record):
    """The pull of one plan over an ensemble of guessed skins; no figure from a failed run."""

    status: str  #: "converged", or why there is no figure
    reason: str
    skins: int
    failed: int
    mesh_error_ratio: float | None  #: of the total, against a finer mesh on the middle skin
    total_force_n: float | None
    total_low_n: float | None
    total_high_n: float | None
    relative_low_ratio: float | None  #: over the plan that pulls least on the same skin
    relative_high_ratio: float | None
    least_of_these_fraction: float | None  #: of the skins on which this plan pulls least
    donor_share: float | None  #: of the total, with the corner where the donor line ends
    donor_share_low: float | None
    donor_share_high: float | None
    seam_forces: tuple[SeamPull, ...]
