"""What every check of a dose asks first: how much, for what body weight."""

from crena.records import InputError

LEAST_KG, MOST_KG = 20.0, 300.0
"""Body weights that are taken as meant; the case file keeps the same range."""


def known_weight_kg(weight_kg: float | None) -> float:
    """Return a body weight that was entered and can be meant.

    Raises
    ------
    InputError
        If it is missing or outside 20 to 300 kg.
    """
    if weight_kg is None:
        raise InputError("Body weight was not entered. Weigh the patient; then check the dose.")
    if not LEAST_KG <= weight_kg <= MOST_KG:
        raise InputError(f"A body weight of {weight_kg:g} kg cannot be meant. Correct it.")
    return weight_kg


def refuse_impossible(volume_ml: float, concentration_percent: float) -> None:
    """Refuse an amount below nothing or a solution stronger than pure.

    Raises
    ------
    InputError
        With the figure that cannot be meant.
    """
    if volume_ml < 0:
        raise InputError(f"A volume of {volume_ml:g} mL cannot be given. Correct it.")
    if concentration_percent <= 0 or concentration_percent > 100:
        raise InputError(f"A solution of {concentration_percent:g} % cannot be. Correct it.")
