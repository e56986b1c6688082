"""What is known of a case before it is planned, and what is still missing for a plan."""

from collections.abc import Iterator
from dataclasses import dataclass, fields
from datetime import date

from crena.geometry.unrolling import SkinMap, skin_map, unroll_mm
from crena.healing.timing import timing
from crena.records import Answer, Case, InputError, Limits, Pit, TractMap, point2
from crena.records.timings import Timing
from crena.records.tracts import KnownMap, Missing, PlacedProbe
from crena.sinus.mapping import map_from_probing
from crena.sinus.probing import entered_pit, entered_skin, probed_tract


@dataclass(frozen=True, slots=True, kw_only=True)
class ScannedMap:
    """The map that was made of the case's scan, if it has one."""

    tract_map: TractMap | None
    old: bool  #: the case was changed since


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """What of the entries can be placed, and what cannot."""

    pits: tuple[Pit, ...]
    probes: tuple[PlacedProbe, ...]
    refused: tuple[Missing, ...]


def known_map(
    case: Case, today: date, *, number: int = 0, scanned: ScannedMap | None = None
) -> KnownMap:
    """Return the map of a case as it is known now, the timing gate, and what is missing.

    Parameters
    ----------
    case : Case
        As entered, however little that is.
    today : date
        For the timing gate.
    number : int
        Of the revision that holds the case.
    scanned : ScannedMap, optional
        What was made of the case's scan; none: it has no scan.

    Examples
    --------
    >>> from crena.records import CASE_SCHEMA, Findings, PatientLabel
    >>> case = Case(schema=CASE_SCHEMA, patient=PatientLabel(label="A"),
    ...             findings=Findings(seen_on=date(2026, 11, 25)))
    >>> found = known_map(case, date(2026, 11, 25))
    >>> [each.code for each in found.missing]
    ['no_pit', 'signs_not_asked']
    """
    found, sentence = _map_of(case, scanned)
    placed = _placed(case, skin_map(found.skin if found else entered_skin(case.body)))
    gate = _gate(case, today)
    return KnownMap(
        number=number,
        tract_map=found,
        sentence=sentence,
        old=scanned is not None and scanned.old,
        pits=placed.pits,
        probes=placed.probes,
        anal_verge_mm=(0.0, -case.body.anal_verge_below_coccyx_tip_mm),
        timing=gate,
        missing=(
            *_missing_disease(case, placed, sentence, scanned),
            *_missing_signs(case, gate),
            *_missing_margin(case),
        ),
    )


def _map_of(case: Case, scanned: ScannedMap | None) -> tuple[TractMap | None, str]:
    """Return the map of the scan, else that of ruler and probe, or why there is none."""
    if scanned is not None and scanned.tract_map is not None:
        return scanned.tract_map, ""
    try:
        return map_from_probing(case), ""
    except InputError as refusal:
        return None, str(refusal)


def _placed(case: Case, skin: SkinMap) -> _Placed:
    pits: dict[str, Pit] = {}
    probes, refused = [], []
    for n, entry in enumerate(case.pits):
        try:
            pits[entry.name] = entered_pit(entry, skin)
        except InputError as refusal:
            refused.append(Missing(code="entry", place=f"pits.{n}", sentence=str(refusal)))
    for n, probing in enumerate(case.probings):
        pit = pits.get(probing.pit)
        if pit is None:
            continue
        try:
            tract = probed_tract(probing, pit, skin, case.precision)
        except InputError as refusal:
            refused.append(Missing(code="entry", place=f"probings.{n}", sentence=str(refusal)))
            continue
        tip = unroll_mm(skin, [tract.centre_mm[-1][:2]])[0]
        probes.append(
            PlacedProbe(probing=n, tract=probing.tract, from_mm=pit.at_mm, tip_mm=point2(tip))
        )
    return _Placed(pits=tuple(pits.values()), probes=tuple(probes), refused=tuple(refused))


def _gate(case: Case, today: date) -> Timing:
    try:
        return timing(case.findings, today, case.limits.recheck_after_day)
    except InputError as refusal:
        return Timing(ready=False, reason=str(refusal), recheck_on=None, background="")


def _missing_disease(
    case: Case, placed: _Placed, sentence: str, scanned: ScannedMap | None
) -> Iterator[Missing]:
    if scanned is not None:
        if case.clicks is None or not case.clicks.tracts:
            said = "The case has a scan but no clicks on it. Click each tract's two ends."
            yield Missing(code="no_clicks", place="clicks", sentence=said)
    elif not case.pits:
        yield Missing(code="no_pit", place="pits", sentence=sentence)
    elif sentence and not placed.refused:
        yield Missing(code="entry", place="pits", sentence=sentence)
    yield from placed.refused


def _missing_signs(case: Case, gate: Timing) -> Iterator[Missing]:
    if gate.ready:
        return
    signs = case.findings.acute_signs
    for answer, code in ((Answer.YES, "acute"), (Answer.NOT_ASKED, "signs_not_asked")):
        named = [f.name for f in fields(signs) if getattr(signs, f.name) is answer]
        if named and gate.recheck_on is not None:
            place = f"findings.acute_signs.{named[0]}"
            yield Missing(code=code, place=place, sentence=gate.reason)
            return
    yield Missing(code="seen_later", place="findings.seen_on", sentence=gate.reason)


def _missing_margin(case: Case) -> Iterator[Missing]:
    try:
        refuse_narrow_margin(case.limits)
    except InputError as refusal:
        yield Missing(code="narrow_margin", place="limits.drawn_margin_mm", sentence=str(refusal))


def refuse_narrow_margin(limits: Limits) -> None:
    """Refuse limits that ask for more than is drawn.

    Raises
    ------
    InputError
        With both figures.
    """
    if limits.drawn_margin_mm < limits.least_clearance_mm:
        raise InputError(
            f"The drawn margin, {limits.drawn_margin_mm:g} mm, is smaller than the clearance asked "
            f"for, {limits.least_clearance_mm:g} mm. Draw at least as much as you ask for."
        )
