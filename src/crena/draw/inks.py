"""The drawing language: which line, dot or tone stands for what.

Pen and dye have the same grey value, so every meaning is carried by line style, pattern or
letter; colour repeats it.
"""

from dataclasses import dataclass

from crena.records.base import Record

PEN = "#572a8a"
"""Surgical pen: cuts, seams, letters of corners."""

DYE = "#0b5a91"
"""Dye in the tract: the disease and nothing else."""

DYE_SOFT = "#c5dcea"
"""Ground under the hatch of the disease."""

FLAP_TONE = "#ecd3bf"
"""The flap: a tone that prints as 15 % grey."""

BODY_TONE = "#f6e9df"
"""The body in a section: the flap's tone at about half strength."""

FASCIA = "#6d4429"
"""The fascia: the floor of the excision."""

BLACK = "#21262b"
"""Ink: words, landmarks, measures."""

GREY = "#4a525a"
"""Second ink: numbers on rulers, side remarks."""

EDGE = "#757d76"
"""Ticks and axes."""

GRID = "#dce2d8"
"""The 10 mm grid: decoration."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink(Record):
    """How a mark is drawn, and on which layer of a CAD file it lies."""

    layer: str
    stroke: str | None = None
    width_mm: float = 0.25
    dash_mm: tuple[float, ...] = ()
    fill: str | None = None
    round_caps: bool = False


CUT = Ink(layer="CUT", stroke=PEN, width_mm=0.6)
FLAP_CUT = Ink(layer="FLAP_CUT", stroke=PEN, width_mm=0.6, dash_mm=(3.0, 1.7))
INDEX_CUT = Ink(layer="CUT", stroke=PEN, width_mm=0.3)
INDEX_FLAP_CUT = Ink(layer="FLAP_CUT", stroke=PEN, width_mm=0.3, dash_mm=(0.9, 0.6))
SEAM = Ink(layer="CUT", stroke=PEN, width_mm=0.5)
SMALL_TAKEN_OUT = Ink(layer="SPECIMEN", stroke=PEN, width_mm=0.28, round_caps=True)
SMALL_CUT = Ink(layer="CUT", stroke=PEN, width_mm=0.45)
SMALL_FLAP_CUT = Ink(layer="FLAP_CUT", stroke=PEN, width_mm=0.45, dash_mm=(1.5, 0.8))
TAKEN_OUT = Ink(layer="SPECIMEN", stroke=PEN, width_mm=0.45, round_caps=True)
SPECIMEN = Ink(layer="SPECIMEN", stroke=PEN, width_mm=0.18)
FLAP = Ink(layer="FLAP_CUT", fill=FLAP_TONE)
BODY = Ink(layer="SPECIMEN", fill=BODY_TONE)
EMPTIED = Ink(layer="SPECIMEN", fill="#ffffff")
UNDERMINED = Ink(layer="FLAP_CUT", stroke=PEN, width_mm=0.22)
MIDLINE = Ink(layer="MIDLINE", stroke=BLACK, width_mm=0.3, dash_mm=(5.0, 1.3, 0.5, 1.3))
LANDMARK = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.35)
LANDMARK_SOLID = Ink(layer="LANDMARK", fill=BLACK)
MEASURE = Ink(layer="TEXT", stroke=BLACK, width_mm=0.2)
LEADER = Ink(layer="TEXT", stroke=BLACK, width_mm=0.15)
BARS = Ink(layer="BARS", stroke=BLACK, width_mm=0.25)
CROSS = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.2)
TICK = Ink(layer="BARS", stroke=EDGE, width_mm=0.18)
GRID_LINE = Ink(layer="BARS", stroke=GRID, width_mm=0.15)
TRACT_RIM = Ink(layer="LANDMARK", stroke=DYE, width_mm=0.7)
TRACT_FILL = Ink(layer="LANDMARK", fill=DYE_SOFT)
HATCH = Ink(layer="LANDMARK", stroke=DYE, width_mm=0.2)
SMALL_RIM = Ink(layer="LANDMARK", stroke=DYE, width_mm=0.4)
SMALL_HATCH = Ink(layer="LANDMARK", stroke=DYE, width_mm=0.13)
SMALL_SPOT_RIM = Ink(layer="LANDMARK", stroke=DYE, width_mm=0.25, dash_mm=(0.6, 0.4))
SMALL_PIT_RING = Ink(layer="LANDMARK", stroke=DYE, width_mm=0.25, fill="#ffffff")
SMALL_LANDMARK = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.22)
SMALL_MIDLINE = Ink(layer="MIDLINE", stroke=BLACK, width_mm=0.2, dash_mm=(2.4, 0.8, 0.3, 0.8))
SPOT_RIM = Ink(layer="LANDMARK", stroke=DYE, width_mm=0.4, dash_mm=(1.1, 0.7))
PIT_RING = Ink(layer="LANDMARK", stroke=DYE, width_mm=0.4, fill="#ffffff")
PIT_DOT = Ink(layer="LANDMARK", fill=DYE)
CLEARANCE_RING = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.35, round_caps=True)
BINDING = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.9)
FLOOR = Ink(layer="LANDMARK", stroke=FASCIA, width_mm=0.5, dash_mm=(0.01, 1.1), round_caps=True)
SKIN = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.45)
BAND = Ink(layer="BARS", fill=PEN)
WANTED = Ink(layer="BARS", stroke=BLACK, width_mm=0.3, dash_mm=(0.9, 0.6))
SMALL_EDGE_OF_CUT = Ink(layer="CUT", stroke=PEN, width_mm=0.35)
EDGE_OF_CUT = Ink(layer="CUT", stroke=PEN, width_mm=0.5)
CARRIED_GRID = Ink(layer="LANDMARK", stroke=EDGE, width_mm=0.12)
WEAVE = Ink(layer="FLAP_CUT", stroke=FASCIA, width_mm=0.14)
CARRIED_MIDLINE = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.22)
PLAIN_SCAR = Ink(layer="CUT", stroke=PEN, width_mm=0.35)
SEAM_TICKS = Ink(layer="CUT", stroke=PEN, width_mm=0.3)
WRINKLE = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.25)
CHIP = Ink(layer="TEXT", fill="#ffffff")
BLACK_WORDS = Ink(layer="TEXT", fill=BLACK)
GREY_WORDS = Ink(layer="TEXT", fill=GREY)
PEN_WORDS = Ink(layer="TEXT", fill=PEN)

TENSION_TONES = tuple(
    Ink(layer="LANDMARK", fill=tone) for tone in ("#ffffff", "#eceee9", "#d3d7d0", "#b3b8b0")
)
"""From less tension than at rest to much more: darker is more."""

TENSION_HATCHES = (
    Ink(layer="LANDMARK", stroke=GREY, width_mm=0.28, dash_mm=(0.01, 1.5), round_caps=True),
    *(Ink(layer="LANDMARK", stroke=GREY, width_mm=width) for width in (0.12, 0.16, 0.2)),
)
"""The lines over those tones."""

SMALL_INKS = {
    CUT: SMALL_CUT, FLAP_CUT: SMALL_FLAP_CUT, TAKEN_OUT: SMALL_TAKEN_OUT, TRACT_RIM: SMALL_RIM,
    HATCH: SMALL_HATCH, SPOT_RIM: SMALL_SPOT_RIM, PIT_RING: SMALL_PIT_RING,
    LANDMARK: SMALL_LANDMARK, MIDLINE: SMALL_MIDLINE, EDGE_OF_CUT: SMALL_EDGE_OF_CUT,
}  # fmt: skip
"""Thinner lines of the same style, for small pictures."""
