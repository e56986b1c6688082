"""The room of DICOM in and out, and of the phantom of the region."""

from crena.imaging.phantom import (
    Phantom,
    PhantomRecipe,
    TractLook,
    TrueCavity,
    TrueSpot,
    TrueTract,
    body_to_lps_mm,
    lps_to_body_mm,
    render,
    skin_distance_mm,
    skin_points_lps_mm,
)
from crena.imaging.read import read_series
from crena.imaging.write import write_series

__all__ = [
    "Phantom",
    "PhantomRecipe",
    "TractLook",
    "TrueCavity",
    "TrueSpot",
    "TrueTract",
    "body_to_lps_mm",
    "lps_to_body_mm",
    "read_series",
    "render",
    "skin_distance_mm",
    "skin_points_lps_mm",
    "write_series",
]
