"""What stands at the door of the tract map: names, series, sides, bone and anal verge."""

import numpy as np

from crena.geometry.unrolling import height_mm, skin_map
from crena.records import (
    Case,
    InputError,
    Point3,
    ScanClicks,
    Side,
    Tract,
    TractClicks,
    TractMap,
    Volume,
)
from crena.sinus.parts import parts_of
from crena.sinus.probing import REGION_MM

INTO_BONE_MM = 2.0
"""A tract that runs deeper than this below the fascia was not measured right (assumed)."""

SAME_END_MM = 3.0
"""Two clicked ends nearer than this are not two ends (assumed)."""

CLEARLY_ASIDE_MM = 3.0
"""A blind end further than this from the midline lies clearly on one side (assumed)."""


def landmarks_of(clicks: ScanClicks) -> tuple[Point3, Point3, Point3]:
    """Return coccyx tip, sacral crest and anal verge, LPS mm.

    Raises
    ------
    InputError
        Naming those that were not clicked.
    """
    tip, crest, verge = (
        clicks.coccyx_tip_lps_mm,
        clicks.sacral_crest_lps_mm,
        clicks.anal_verge_lps_mm,
    )
    if tip is None or crest is None or verge is None:
        places = {"the skin over the coccyx tip": tip, "over the sacral crest": crest}
        missing = [name for name, at in (places | {"the anal verge": verge}).items() if at is None]
        raise InputError(f"Not clicked yet: {', '.join(missing)}. Click it on the scan.")
    return tip, crest, verge


def line_of(tract: TractClicks) -> tuple[Point3, ...]:
    """Return what was clicked along a tract, from its pit to its blind end, LPS mm.

    Raises
    ------
    InputError
        If one of its ends was not clicked.
    """
    if tract.pit_lps_mm is None or tract.blind_end_lps_mm is None:
        end = "pit" if tract.pit_lps_mm is None else "blind end"
        raise InputError(f"{tract.name}: its {end} is not clicked yet. Click it on the scan.")
    return (tract.pit_lps_mm, *tract.way_points_lps_mm, tract.blind_end_lps_mm)


def check_names(case: Case) -> None:
    """Refuse names that stand for two things: what is found by name must be one thing.

    Raises
    ------
    InputError
        Naming the name.
    """
    clicks = case.clicks
    kinds = {
        "pits": [pit.name for pit in case.pits],
        "probed tracts": [probing.tract for probing in case.probings],
        "clicked tracts or cavities": (
            [t.name for t in clicks.tracts] + [c.name for c in clicks.cavities] if clicks else []
        ),
    }
    for kind, names in kinds.items():
        twice = [name for name in names if names.count(name) > 1]
        if twice:
            raise InputError(f"Two {kind} are called “{twice[0]}”. Give each its own name.")


def checked(found: TractMap) -> TractMap:
    """Return the map if it can be excised: above the anal verge and the bone, in the region.

    Raises
    ------
    InputError
        Naming the part and by how much.
    """
    floor, verge_mm = skin_map(found.floor), found.anal_verge_mm[1]
    for part in parts_of(found):
        lowest = float((part.points[:, 1] - part.radii).min())
        if lowest <= verge_mm:
            raise InputError(
                f"{part.name} reaches {verge_mm - lowest:.0f} mm below the anal verge. Exclude an "
                "anal fistula; this is not planned here."
            )
        below = height_mm(floor, part.points[:, :2]) - (part.points[:, 2] - part.radii)
        if below.max() > INTO_BONE_MM:
            raise InputError(
                f"{part.name} would run {below.max():.0f} mm below the fascia, into sacrum or "
                "muscle. Check its depth, or the depth of the fascia."
            )
        if np.abs(part.points[:, :2]).max() > REGION_MM:
            raise InputError(
                f"{part.name} leaves the region: more than {REGION_MM:.0f} mm from the coccyx tip. "
                "Check its length and direction."
            )
    return found


def refuse_other_series(clicks: ScanClicks, volume: Volume) -> None:
    """Refuse clicks that were made on another series, or that mark no tract."""
    if clicks.series_uid and clicks.series_uid != volume.series_uid:
        raise InputError(
            "The clicks were made on another series than this folder holds. Give the folder of "
            "the clicked series, or click again."
        )
    for tract in clicks.tracts:
        line = line_of(tract)
        apart = float(np.linalg.norm(np.subtract(line[0], line[-1])))
        if apart < SAME_END_MM:
            raise InputError(
                f"{tract.name}: pit and blind end are clicked {apart:.0f} mm apart. "
                "Click both ends."
            )


def refuse_other_side(seen: Tract, felt: Tract) -> None:
    """Stop when probe and scan put a tract on different sides of the patient."""
    scanned, probed = seen.centre_mm[-1][0], felt.centre_mm[-1][0]
    if scanned * probed < 0 and min(abs(scanned), abs(probed)) > CLEARLY_ASIDE_MM:
        sides = [Side.RIGHT if x > 0 else Side.LEFT for x in (probed, scanned)]
        raise InputError(
            f"{seen.name} was probed to the {sides[0]}, but the scan shows it on the {sides[1]}. "
            "Check the side, the clicks, and that the scan is this patient's."
        )
