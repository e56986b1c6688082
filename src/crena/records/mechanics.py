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
class ScarFromLine(Record):
    """How the scar lies to one midline, after closure."""

    least_mm: float  #: least distance; 0 where they meet
    lower_end_mm: float  #: distance of the scar's lower end
    within_10mm_ratio: float  #: of the scar's length, nearer than 10 mm
    crossings: int  #: places where they cross or touch


@dataclass(frozen=True, slots=True, kw_only=True)
class ScarAfter(Record):
    """Where the scar lies once the skin has given, on the middle of the guessed skins."""

    sagittal: ScarFromLine  #: from x = 0, which does not move
    material: ScarFromLine | None  #: from the skin that lay on the midline; none: none is left
    floor: ScarFromLine  #: from the floor of the cleft, taken not to move


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingPull(Record):
    """The middle skin sitting as the surgeon states it; no figure from a run that failed."""

    reason: str  #: empty, or why there is no figure
    over_lying_ratio: float | None  #: all sutures, sitting over lying
    hardest_seam: str  #: carries most per mm while sitting; or empty
    gape_mm: float | None  #: how far it would open if its stitches gave way


@dataclass(frozen=True, slots=True, kw_only=True)
class Mechanics(Record):
    """The pull of one plan over an ensemble of guessed skins; no figure from a failed run."""

    status: str  #: "converged", or why there is no figure
    reason: str
    skins: int
    failed: int
    total_force_n: float | None
    total_low_n: float | None
    total_high_n: float | None
    relative_low_ratio: float | None  #: over the plan that pulls least on the same skin
    relative_high_ratio: float | None
    compared: int  #: skins on which every plan with a figure found its balance
    least_of_these_fraction: float | None  #: of these, the share on which this plan pulls least
    donor_share: float | None  #: of the total, with the corner where the donor line ends
    donor_share_low: float | None
    donor_share_high: float | None
    seam_forces: tuple[SeamPull, ...]
    mesh_error_ratio: float | None = None  #: of the total, estimated from two meshes
    scar_after: ScarAfter | None = None  #: none: no balance was found on the middle skin
    sitting: SittingPull | None = None  #: none: no stretch was stated
