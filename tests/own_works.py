"""The keeping of a moved plan with few guessed skins, for the tests of the queue."""

import numpy as np

from crena.app.case_files import case_from_text, moved_from_text, plan_text, plans_from_text
from crena.mechanics.ensemble import SkinGuesses, assumed_skins
from crena.mechanics.material import ASSUMED_SKIN
from crena.planning.own import with_own_plan
from crena.planning.pull import Simulation

FEW_SKINS = SkinGuesses(middle=ASSUMED_SKIN, ensemble=assumed_skins(2, np.random.default_rng(3)))


def planned_own(case_text, plans_text, moved_text, progress):
    made = with_own_plan(
        plans_from_text(plans_text, "The plans"),
        moved_from_text(moved_text),
        case_from_text(case_text, "The case"),
        Simulation(skins=FEW_SKINS),
        progress,
    )
    return plan_text(made).encode()
