"""Layers, stitches and thread of a wound, and what one stitch carries."""

from math import ceil, hypot, isfinite

from crena.healing.threads import knot_pull_of, size_named
from crena.records import (
    InputError,
    Layer,
    LayerPlan,
    LayerTemplate,
    LineForce,
    SeamLine,
    SeamPull,
    Stitch,
    StitchLoad,
    SutureTables,
    ThreadTerms,
    size_words,
)

LEAST_THREAD_OVER_WOUND = 4.0
"""Thread over wound length asked of running layers: fascia of the abdominal wall (published:
Millbourn 2009, Deerenberg 2015); here a check only."""

PERCUTANEOUS_DAYS = 7
"""Absorbable thread through the skin irritates after a week (low-authority page)."""

KNOTS_OF_A_RUN = 2

ROUNDING = 1e-9


def plan_layers(
    wound_depth_mm: float,
    seams: tuple[SeamLine, ...],
    templates: tuple[LayerTemplate, ...],
    tables: SutureTables,
    terms: ThreadTerms,
) -> LayerPlan:
    """Count the stitches, the thread and the packets of every layer.

    Parameters
    ----------
    wound_depth_mm : float
        From the skin to the floor.
    seams : tuple of SeamLine
        What is to be sewn; with forces, each stitch gets a load.
    templates : tuple of LayerTemplate
        The layers from the floor to the skin.
    tables : SutureTables
        Sizes and strengths.
    terms : ThreadTerms
        Tails, loss, packets, thickness of the skin.

    Returns
    -------
    LayerPlan
        A layer that the wound is too shallow for is left out, with a warning.

    Raises
    ------
    InputError
        If there is nothing to sew, a size is not on the list, or a thread through the
        skin that does not dissolve has no day on which it leaves.
    """
    _refuse_nothing(wound_depth_mm, seams)
    for template in templates:
        refuse_forgotten(template)
    counted = [(template, _rows(template, wound_depth_mm, terms)) for template in templates]
    return LayerPlan(
        layers=tuple(_layer(t, rows, seams, tables, terms) for t, rows in counted if rows),
        order=order_of_sewing(seams),
        donor_seams=tuple(seam.name for seam in seams if seam.donor),
        warnings=tuple(w for t, rows in counted for w in _warnings(t, rows, wound_depth_mm)),
        assumptions=(
            f"Each knot leaves {terms.tails_mm:.0f} mm of tails; {terms.loss_fraction:.0%} of "
            f"the thread is lost; a packet holds {terms.packet_mm:.0f} mm.",
            "A stitch's load is what it carries if its layer holds the seam alone.",
        ),
    )


def stitch_count(length_mm: float, spacing_mm: float) -> int:
    """Return the interrupted stitches of a seam, its two ends left out.

    >>> stitch_count(200.0, 10.0)
    19
    """
    return max(1, _spaces(length_mm, spacing_mm) - 1)


def loop_mm(template: LayerTemplate) -> float:
    """Return the thread of one stitch in the tissue, without tails.

    Parameters
    ----------
    template : LayerTemplate
        With bite b, depth z and spacing p.

    Notes
    -----
    Interrupted 4b + 2z. Running over and over 2b + sqrt(4b² + p²) + 2z. Running in the skin
    the thread crosses once for each space: sqrt(4b² + p²).
    """
    across = 2 * template.bite_mm
    slant = hypot(across, template.spacing_mm)
    if template.stitch is Stitch.INTERRUPTED:
        return 2 * across + 2 * template.depth_mm
    if template.stitch is Stitch.RUNNING:
        return across + slant + 2 * template.depth_mm
    return slant


def thread_mm(length_mm: float, template: LayerTemplate, terms: ThreadTerms) -> float:
    """Return the thread for one row of one seam.

    Parameters
    ----------
    length_mm : float
        Of the seam.
    template : LayerTemplate
        How it is sewn.
    terms : ThreadTerms
        Tails of each knot, and loss.
    """
    loop = loop_mm(template)
    if template.stitch is Stitch.INTERRUPTED:
        used = stitch_count(length_mm, template.spacing_mm) * (loop + terms.tails_mm)
    else:
        used = _spaces(length_mm, template.spacing_mm) * loop + KNOTS_OF_A_RUN * terms.tails_mm
    return used * (1 + terms.loss_fraction)


def thread_over_wound_ratio(bite_mm: float, spacing_mm: float) -> float:
    """Return thread over wound length of a flat running stitch.

    >>> round(thread_over_wound_ratio(10.0, 10.0), 2)
    4.24
    """
    return (2 * bite_mm + hypot(2 * bite_mm, spacing_mm)) / spacing_mm


def order_of_sewing(seams: tuple[SeamLine, ...]) -> tuple[str, ...]:
    """Return the seams, the greatest pull first; of equals, the donor seam.

    Parameters
    ----------
    seams : tuple of SeamLine
        Without forces the donor seams come first and the others keep their order.
    """
    hardest = sorted(
        seams, key=lambda s: (-(s.force.high_n_per_mm if s.force else 0.0), not s.donor)
    )
    return tuple(seam.name for seam in hardest)


def seam_line(pull: SeamPull, length_mm: float) -> SeamLine:
    """Return a seam with its pull spread over its length.

    Parameters
    ----------
    pull : SeamPull
        What its sutures carry together, with the band.
    length_mm : float
        After closure.
    """
    return SeamLine(
        name=pull.name,
        length_mm=length_mm,
        donor=pull.donor,
        force=LineForce(
            middle_n_per_mm=pull.force_n / length_mm,
            low_n_per_mm=pull.force_low_n / length_mm,
            high_n_per_mm=pull.force_high_n / length_mm,
        ),
    )


def refuse_forgotten(template: LayerTemplate) -> None:
    """Refuse skin stitches that would neither dissolve nor be taken out."""
    if template.through_skin and not template.material.absorbable and not template.removal_day:
        raise InputError(
            f"The {template.material} of layer “{template.name}” does not dissolve. "
            "Give the day on which it is taken out."
        )


def _refuse_nothing(wound_depth_mm: float, seams: tuple[SeamLine, ...]) -> None:
    if not (isfinite(wound_depth_mm) and wound_depth_mm > 0):
        raise InputError(f"The wound is {wound_depth_mm:.1f} mm deep. Give its depth in mm.")
    for seam in seams:
        if not (isfinite(seam.length_mm) and seam.length_mm > 0):
            raise InputError(f"Seam {seam.name} is {seam.length_mm:.1f} mm long. Give its length.")
    if not seams:
        raise InputError("There is no seam to sew. Choose a closure first.")


def _spaces(length_mm: float, spacing_mm: float) -> int:
    return ceil(length_mm / spacing_mm - ROUNDING)


def _rows(template: LayerTemplate, wound_depth_mm: float, terms: ThreadTerms) -> int:
    """Return how many rows of a layer lie above each other."""
    if template.row_pitch_mm is None:
        return 1
    below_skin_mm = max(wound_depth_mm - terms.skin_mm, 0.0)
    return _spaces(below_skin_mm, template.row_pitch_mm)


def _layer(
    template: LayerTemplate,
    rows: int,
    seams: tuple[SeamLine, ...],
    tables: SutureTables,
    terms: ThreadTerms,
) -> Layer:
    thread = rows * sum(thread_mm(seam.length_mm, template, terms) for seam in seams)
    return Layer(
        name=template.name,
        material=template.material,
        size=size_words(size_named(tables, template.size)),
        stitch=template.stitch,
        rows=rows,
        stitches=rows * sum(_stitches(seam.length_mm, template) for seam in seams),
        spacing_mm=template.spacing_mm,
        loop_mm=loop_mm(template),
        thread_mm=thread,
        packets=ceil(thread / terms.packet_mm - ROUNDING),
        thread_over_wound_ratio=_run_ratio(template),
        loads=tuple(_load(s, s.force, template, tables) for s in seams if s.force),
        basis=template.basis,
    )


def _stitches(length_mm: float, template: LayerTemplate) -> int:
    if template.stitch is Stitch.INTERRUPTED:
        return stitch_count(length_mm, template.spacing_mm)
    return _spaces(length_mm, template.spacing_mm)


def _run_ratio(template: LayerTemplate) -> float | None:
    if template.stitch is Stitch.RUNNING:
        return thread_over_wound_ratio(template.bite_mm, template.spacing_mm)
    return None


def _load(
    seam: SeamLine, force: LineForce, template: LayerTemplate, tables: SutureTables
) -> StitchLoad:
    pull = knot_pull_of(tables, template.size, template.material)
    high_n = template.spacing_mm * force.high_n_per_mm
    return StitchLoad(
        seam=seam.name,
        donor=seam.donor,
        load_n=template.spacing_mm * force.middle_n_per_mm,
        load_low_n=template.spacing_mm * force.low_n_per_mm,
        load_high_n=high_n,
        strength_n=pull.least_n,
        strength_basis=pull.basis,
        margin_ratio=pull.least_n / high_n if high_n else None,
    )


def _warnings(template: LayerTemplate, rows: int, wound_depth_mm: float) -> list[str]:
    found = []
    if not rows:
        found.append(f"The wound is too shallow for “{template.name}”: it is left out.")
    elif template.depth_mm > wound_depth_mm:
        found.append(
            f"A stitch of “{template.name}” reaches {template.depth_mm:.0f} mm; the wound is "
            f"{wound_depth_mm:.0f} mm deep."
        )
    ratio = _run_ratio(template)
    if ratio is not None and ratio < LEAST_THREAD_OVER_WOUND:
        found.append(
            f"“{template.name}” takes {ratio:.1f} times the wound's length of thread; 4 times "
            "is asked of running sutures of fascia. Wider bites or closer stitches give more."
        )
    return found + _lingering(template)


def _lingering(template: LayerTemplate) -> list[str]:
    stays = template.removal_day is None or template.removal_day > PERCUTANEOUS_DAYS
    if template.through_skin and template.material.absorbable and stays:
        return [
            f"Absorbable thread through the skin (“{template.name}”) irritates after "
            f"{PERCUTANEOUS_DAYS} days (from a page of low authority, check by hand)."
        ]
    return []
