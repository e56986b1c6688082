"""Threads, stitches and layers, and the tables of what they hold, each figure with its mark."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from crena.records.base import Between, Record


class Mark(StrEnum):
    """How far a figure can be trusted, the best first."""

    PUBLISHED = "published"
    LOW_AUTHORITY = "low-authority page"
    MEMORY = "memory"


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis(Record):
    """Where a figure comes from."""

    source: str
    mark: Mark


_MARK_WORDS = {
    Mark.PUBLISHED: "published",
    Mark.LOW_AUTHORITY: "from a page of low authority, check by hand",
    Mark.MEMORY: "from memory, check by hand",
}


def mark_words(mark: Mark) -> str:
    """Return what a reader must be told of a figure with this mark.

    >>> mark_words(Mark.MEMORY)
    'from memory, check by hand'
    """
    return _MARK_WORDS[mark]


def basis_words(basis: Basis) -> str:
    """Return the source of a figure and how far it can be trusted.

    >>> basis_words(Basis(source="A. Surgeon 1999", mark=Mark.PUBLISHED))
    'A. Surgeon 1999 (published)'
    """
    return f"{basis.source} ({mark_words(basis.mark)})"


class StrengthClass(StrEnum):
    """The classes in which the least knot-pull strength is laid down."""

    ABSORBABLE = "synthetic absorbable"
    CLASS_I = "non-absorbable class I"
    CLASS_II = "non-absorbable class II"


class Material(StrEnum):
    """Threads by their generic names; no other name is taken."""

    POLYGLACTIN_910 = "polyglactin 910"
    POLYGLYCOLIC_ACID = "polyglycolic acid"
    POLIGLECAPRONE_DYED = "poliglecaprone 25, dyed"
    POLIGLECAPRONE_UNDYED = "poliglecaprone 25, undyed"
    POLYDIOXANONE = "polydioxanone"
    POLYAMIDE = "polyamide"
    POLYPROPYLENE = "polypropylene"

    @property
    def absorbable(self) -> bool:
        """Return whether the body takes the thread up; the others never dissolve."""
        return self not in (Material.POLYAMIDE, Material.POLYPROPYLENE)

    @property
    def strength_class(self) -> StrengthClass:
        """Return the class of a single-strand or braided thread of this material."""
        return StrengthClass.ABSORBABLE if self.absorbable else StrengthClass.CLASS_I


class Stitch(StrEnum):
    """How a layer is sewn."""

    INTERRUPTED = "interrupted"
    RUNNING = "running, over and over"
    RUNNING_IN_SKIN = "running, in the skin"


@dataclass(frozen=True, slots=True, kw_only=True)
class SutureSize(Record):
    """A size by both of its names, with the band of diameters."""

    size: str  #: as 2-0; 2 is another thread
    metric: str
    diameter_low_mm: float
    diameter_high_mm: float
    basis: Basis


def size_words(size: SutureSize) -> str:
    """Return a size so that 2-0 and 2 cannot be mixed up."""
    band = f"{size.diameter_low_mm:.3f} to {size.diameter_high_mm:.3f} mm"
    return f"{size.size} (metric {size.metric}, {band})"


@dataclass(frozen=True, slots=True, kw_only=True)
class KnotPull(Record):
    """The least average pull at which a knotted strand may break."""

    size: str
    strength_class: StrengthClass
    least_n: float
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class RetentionPoint(Record):
    """What a thread still holds on a day, over what it held when it was tied."""

    material: Material
    day: float
    low_fraction: float
    high_fraction: float
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class WoundPoint(Record):
    """What a wound holds on a day, over whole skin."""

    day: float
    low_fraction: float
    high_fraction: float
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomaryRemoval(Record):
    """When skin stitches customarily come out, from so many risks on."""

    site: str
    risks_least: int  #: of tension, smoking, diabetes, steroids
    low_day: float
    high_day: float
    basis: Basis


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerTemplate(Record):
    """One layer as the surgeon sews it; every field can be changed."""

    name: str
    material: Material
    size: str
    stitch: Stitch = Stitch.INTERRUPTED
    through_skin: bool = False  #: the thread can be seen and taken out
    spacing_mm: Annotated[float, Between(2, 60, "mm")]
    bite_mm: Annotated[float, Between(1, 40, "mm")]  #: from the edge
    depth_mm: Annotated[float, Between(1, 40, "mm")]  #: of one stitch
    row_pitch_mm: Annotated[float, Between(3, 60, "mm")] | None = None  #: rows above each other
    removal_day: Annotated[float, Between(1, 60, "days")] | None = None  #: none: it stays
    basis: Basis | None = None  #: none: the surgeon's own


@dataclass(frozen=True, slots=True, kw_only=True)
class SutureTables(Record):
    """All tables of threads and wounds."""

    sizes: tuple[SutureSize, ...]
    knot_pulls: tuple[KnotPull, ...]
    retention: tuple[RetentionPoint, ...]
    wound: tuple[WoundPoint, ...]
    removals: tuple[CustomaryRemoval, ...]
    layers: tuple[LayerTemplate, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadTerms(Record):
    """What the amount of thread depends on beside the stitches."""

    tails_mm: Annotated[float, Between(0, 200, "mm")] = 40.0  #: for each knot
    loss_fraction: Annotated[float, Between(0, 2)] = 0.15
    packet_mm: Annotated[float, Between(100, 2000, "mm")] = 700.0  #: thread in one packet
    skin_mm: Annotated[float, Between(0.5, 8, "mm")] = 2.5  #: thickness, above the deep rows


@dataclass(frozen=True, slots=True, kw_only=True)
class LineForce(Record):
    """How hard the edges of a seam pull on each millimetre of it."""

    middle_n_per_mm: float  #: median over the skins
    low_n_per_mm: float  #: 5 of 100 skins pull less
    high_n_per_mm: float  #: 5 of 100 skins pull more


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamLine(Record):
    """A line to be sewn."""

    name: str
    length_mm: float
    donor: bool = False
    force: LineForce | None = None  #: none: not computed


@dataclass(frozen=True, slots=True, kw_only=True)
class StitchLoad(Record):
    """What one stitch carries if its layer holds the seam alone, against its knot."""

    seam: str
    donor: bool
    load_n: float
    load_low_n: float
    load_high_n: float
    strength_n: float  #: least knot-pull strength on the day of the operation
    strength_basis: Basis
    margin_ratio: float | None  #: strength over the high load; none: no load


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer(Record):
    """One layer, counted."""

    name: str
    material: Material
    size: str  #: both names and the diameter
    stitch: Stitch
    rows: int
    stitches: int  #: in all rows of all seams
    spacing_mm: float
    loop_mm: float  #: thread round one stitch, without tails
    thread_mm: float
    packets: int
    thread_over_wound_ratio: float | None  #: continuous layers only
    loads: tuple[StitchLoad, ...]
    basis: Basis | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerPlan(Record):
    """All layers, the order in which the seams are sewn, and what to look at twice."""

    layers: tuple[Layer, ...]
    order: tuple[str, ...]  #: seams, the greatest pull first
    donor_seams: tuple[str, ...]
    warnings: tuple[str, ...]
    assumptions: tuple[str, ...]
