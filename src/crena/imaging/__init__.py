"""The room of DICOM in and out, and of the phantom of the region."""

from crena.imaging._headers import (
    MARKED_BYTES,
    MAX_FILE_BYTES,
    Found,
    Other,
    find_image,
    has_mark,
)
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
from crena.imaging.pictures import picture_of
from crena.imaging.read import MAX_BYTES, MAX_FILES, read_series
from crena.imaging.write import write_series

__all__ = [
    "MARKED_BYTES",
    "MAX_BYTES",
    "MAX_FILES",
    "MAX_FILE_BYTES",
    "Found",
    "Other",
    "Phantom",
    "PhantomRecipe",
    "TractLook",
    "TrueCavity",
    "TrueSpot",
    "TrueTract",
    "body_to_lps_mm",
    "find_image",
    "has_mark",
    "lps_to_body_mm",
    "picture_of",
    "read_series",
    "render",
    "skin_distance_mm",
    "skin_points_lps_mm",
    "write_series",
]
