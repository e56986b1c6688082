"""When to operate and what to check before: the timing gate and the dye."""

from crena.healing.dye import DyeCheck, check_methylene_blue
from crena.healing.timing import Timing, timing

__all__ = ["DyeCheck", "Timing", "check_methylene_blue", "timing"]
