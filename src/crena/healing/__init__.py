"""When to operate, what to check before, and the days after: gate, doses, dates, note."""

from crena.healing.anaesthetic import (
    AnaestheticCheck,
    AnaestheticDose,
    LocalAnaesthetic,
    check_local_anaesthetics,
)
from crena.healing.before_operation import matters_before_operation, not_settled
from crena.healing.drain_forecast import forecast_drain
from crena.healing.drain_learning import Calibration, PastForecast, calibration, unit_prior
from crena.healing.dye import Dye, DyeCheck, check_dye, check_methylene_blue
from crena.healing.dye_volume import DyeVolume, dye_volume
from crena.healing.layers import plan_layers, seam_line
from crena.healing.operation_note import note_text, operation_note
from crena.healing.schedule import schedule
from crena.healing.support import support_against_time
from crena.healing.timing import timing
from crena.records.timings import Timing

__all__ = [
    "AnaestheticCheck", "AnaestheticDose", "Calibration", "Dye", "DyeCheck", "DyeVolume",
    "LocalAnaesthetic", "PastForecast", "Timing", "calibration", "check_dye",
    "check_local_anaesthetics", "check_methylene_blue", "dye_volume", "forecast_drain",
    "matters_before_operation", "not_settled", "note_text", "operation_note",
    "plan_layers", "schedule", "seam_line", "support_against_time",
    "timing", "unit_prior",
]  # fmt: skip
