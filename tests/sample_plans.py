"""Plan sets for tests: plausible, geometrically consistent, and invented throughout."""

from collections.abc import Sequence
from dataclasses import fields, is_dataclass, replace
from datetime import datetime
from math import asin, atan2, cos, degrees, hypot, pi, radians, sin

from crena.records import (
    Cavity,
    ChanceClear,
    Classification,
    Clearance,
    Closure,
    ClosureKind,
    Comparator,
    Corner,
    Disagreement,
    Excision,
    Flap,
    LimitCheck,
    Limits,
    Origin,
    Outline,
    OutlineKind,
    Parameter,
    Pit,
    Plan,
    PlanSet,
    Point2,
    Refusal,
    RigidMotion,
    Scar,
    Seam,
    Shape,
    Side,
    SignOff,
    Spot,
    Surface,
    Tract,
    TractMap,
    Wall,
)

UPPER_END_MM = 63.0
LOWER_END_OFF_MM = 20.0
DEPTH_MM = 28.0


def sample_plan_set(**changes: object) -> PlanSet:
    """Return a whole answer to one invented case; any field may be replaced."""
    plans = (
        rhombic_plan("A", ClosureKind.LIMBERG),
        rhombic_plan("B", ClosureKind.DUFOURMENTEL, angles_deg=(30.0, 60.0)),
        rhombic_plan("C", ClosureKind.RHOMBIC_30, angles_deg=(0.0, 30.0), donor=Side.LEFT),
        advancement_plan("D"),
    )
    plan_set = PlanSet(
        schema="crena.plan/1",
        case_label="Case 12 (demonstration)",
        allergies="Allergies: latex; not asked: dye; asked 2026-11-21",
        code="C12-4F2C",
        made_on="2026-11-24",
        inputs_hash="4f2c91ab" + "0123456789abcdef" * 3 + "01234567",
        seed=1,
        versions={"crena": "0.1.0", "numpy": "2.4.0", "python": "3.11"},
        tract_map=sample_tract_map(),
        classification=Classification(
            scheme="invented scheme", label="side branch", definition="A tract leaves the midline."
        ),
        limits=Limits(),
        excision=plans[0].excision,
        plans=plans,
        chosen="A",
        chosen_by_surgeon=True,
        order="Four plans, no clear best",
        would_change="",
        candidates=412_000,
        comparators=(midline_comparator(),),
        refused=(
            Refusal(
                kind="Limberg, lower corner moved",
                reason="One edge is 19 mm too long; the limit is 15 mm.",
                tried=9000,
                kept=0,
            ),
            Refusal(kind="left open", reason="Shown to compare only.", tried=1, kept=0),
        ),
        cautions=(
            "The bright spot S1 lies 6 mm from T1 and joins nothing. Say whether it is disease.",
            "Allergy to dye was not asked.",
        ),
        assumptions=("The marking error is taken as 1 mm.", "Walls go straight down."),
    )  # fmt: skip
    return replace(plan_set, **changes)


def sample_sign_off() -> SignOff:
    """Return a sign-off of plan A of the sample plan set."""
    return SignOff(
        code="C12-4F2C",
        plan="A",
        flap_from=Side.RIGHT,
        typed_label="Case 12",
        typed_identifier="X-4711",
        by="Surgeon",
        at=datetime(2026, 11, 27, 13, 5),
    )


def sample_tract_map(**changes: object) -> TractMap:
    """Return two tracts, a cavity, a spot that joins nothing, and flat skin."""
    tract_map = TractMap(
        pits=(pit("1", (0.0, 17.0)), pit("2", (0.0, 29.0))),
        tracts=(
            tract("T1", ((0.0, 17.0, 0.0), (-3.0, 27.0, -9.0), (-6.0, 40.0, -14.0)), 2.9),
            tract("T2", ((0.0, 29.0, 0.0), (-6.0, 23.0, -8.0)), 2.2),
        ),
        cavities=(
            Cavity(
                name="cavity",
                centre_mm=(-6.0, 40.0, -14.0),
                half_axes_mm=((3.8, 0.0, 0.0), (0.0, 4.4, 0.0), (0.0, 0.0, 3.5)),
                origin=Origin.SCAN,
                sd_mm=1.5,
                volume_ml=0.25,
            ),
        ),
        spots=(Spot(name="S1", centre_mm=(-17.0, 29.0, -8.0), radius_mm=2.0, gap_mm=6.3),),
        skin=flat_surface(0.0),
        floor=flat_surface(-DEPTH_MM),
        anal_verge_mm=(0.0, -52.0, 0.0),
        disagreements=(
            Disagreement(tract="T1", blind_end_mm=4.4, mean_mm=1.8, length_mm=3.8),
            Disagreement(tract="T2", blind_end_mm=1.6, mean_mm=0.9, length_mm=-1.2),
        ),
        registration_sd_mm=2.0,
        smallest_branch_mm=1.8,
        notes=("The scan shows no fluid beside the sacrum.",),
    )
    return replace(tract_map, **changes)


def flat_surface(z_mm: float) -> Surface:
    """Return a level surface."""
    x = tuple(float(v) for v in range(-120, 121, 20))
    y = tuple(float(v) for v in range(-100, 141, 20))
    level = tuple(tuple(z_mm for _ in x) for _ in y)
    return Surface(x_mm=x, y_mm=y, z_mm=level, origin=Origin.ENTERED, sd_mm=3.0)


def cleft_surface(depth_mm: float = 22.0, width_mm: float = 18.0) -> Surface:
    """Return a valley along the midline, 0 at its bottom."""
    x = tuple(float(v) for v in range(-120, 121, 2))
    y = tuple(float(v) for v in range(-100, 141, 20))
    row = tuple(depth_mm * (1 - 2.718281828 ** (-((v / width_mm) ** 2) / 2)) for v in x)
    return Surface(x_mm=x, y_mm=y, z_mm=tuple(row for _ in y), origin=Origin.ENTERED, sd_mm=2.0)


def pit(name: str, at_mm: Point2) -> Pit:
    """Return a pit on flat skin."""
    return Pit(name=name, at_mm=at_mm, position_mm=(*at_mm, 0.0), radius_mm=1.0, origin=Origin.BOTH)


def tract(name: str, centre: tuple[tuple[float, float, float], ...], radius_mm: float) -> Tract:
    """Return a tube of one radius."""
    steps = zip(centre[:-1], centre[1:], strict=True)
    length = sum(hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]) for p, q in steps)
    return Tract(
        name=name,
        centre_mm=centre,
        radius_mm=tuple(radius_mm for _ in centre),
        origin=Origin.BOTH,
        sd_mm=1.4,
        length_mm=length,
        length_sd_mm=1.5,
        depth_mm=max(-p[2] for p in centre),
        lateral_reach_mm=max(abs(p[0]) for p in centre),
        volume_ml=length * pi * radius_mm**2 / 1000,
    )


def rhombic_plan(
    letter: str,
    kind: ClosureKind,
    *,
    side_mm: float = 50.0,
    angles_deg: tuple[float, float] = (0.0, 60.0),
    donor: Side = Side.RIGHT,
) -> Plan:
    """Return a rhombus of 60 degrees tilted about its upper end, with its flap.

    The angles are that of the first limb, from the short diagonal, and that of the tip.
    """
    corners = rhombic_corners(side_mm, *angles_deg, donor)
    closure = rhombic_closure(kind, _NAMES[kind], corners, donor)
    scar = scar_of(closure)
    return Plan(
        id=letter,
        best_at=_BEST_AT[letter],
        price=_PRICE[letter],
        excision=excision_of(corners, "ABCD", OutlineKind.RHOMBUS),
        closure=closure,
        scar=scar,
        shape=Shape(
            edge_mismatch_mm=abs(distance(corners["E"], corners["F"]) - side_mm),
            base_to_length_ratio=distance(corners["C"], corners["F"]) / side_mm,
            donor_closure_mm=distance(corners["D"], corners["F"]),
            flap_area_mm2=area([corners[n] for n in "CDEF"]),
            defect_area_mm2=area([corners[n] for n in "ABCD"]),
        ),
        limits=limit_checks(scar),
    )


def rhombic_corners(
    side_mm: float, first_deg: float, tip_deg: float, donor: Side
) -> dict[str, Point2]:
    """Return A to F: upper end A on the midline, lower end C away from the donor side."""
    half_long, half_short = side_mm * cos(radians(30)), side_mm * sin(radians(30))
    tilt = -degrees(asin(LOWER_END_OFF_MM / (2 * half_long)))
    a = (0.0, UPPER_END_MM)
    middle = towards(a, half_long, -90 + tilt)
    d = towards(middle, half_short, tilt)
    e = towards(d, side_mm, first_deg + tilt)
    corners = {
        "A": a,
        "B": towards(middle, half_short, 180 + tilt),
        "C": towards(a, 2 * half_long, -90 + tilt),
        "D": d,
        "E": e,
        "F": towards(e, side_mm, 180 + tip_deg + tilt),
    }
    return {name: (donor.sign * x, y) for name, (x, y) in corners.items()}


def rhombic_closure(
    kind: ClosureKind, name: str, corners: dict[str, Point2], donor: Side
) -> Closure:
    """Return a rhombic closure whose flap turns about C."""
    a, b, c, d, e, f = (corners[letter] for letter in "ABCDEF")
    turn = degrees(atan2(b[1] - c[1], b[0] - c[0]) - atan2(d[1] - c[1], d[0] - c[0]))
    turn = (turn + 180) % 360 - 180
    return Closure(
        kind=kind,
        name=name,
        donor_side=donor,
        points_mm={letter: corners[letter] for letter in "ABCDEF"},
        removed_mm=(a, b, c, d),
        incisions_mm=((d, e, f),),
        flaps=(
            Flap(
                outline_mm=(c, d, e, f),
                pedicle_mm=(c, f),
                motion=RigidMotion(angle_deg=turn, pivot_mm=c),
            ),
        ),
        seams=(
            Seam(name="A–B", fixed_mm=(a, b), moved_mm=(e, d), moved_flap=1),
            Seam(name="B–C", fixed_mm=(b, c), moved_mm=(d, c), moved_flap=1),
            Seam(name="A–D", fixed_mm=(a, d), moved_mm=(e, f), moved_flap=1),
            Seam(name="D–E", fixed_mm=(d, e), moved_mm=(f, e), donor=True),
        ),
        scar_mm=((a, b), (b, c), (a, d), (d, e)),
        undermined_mm=tuple(towards_point(middle_of(c, e), p, 1.4) for p in (c, d, e, f)),
        parameters=(Parameter(name="side", value=distance(a, b), unit="mm"),),
    )


def advancement_plan(letter: str) -> Plan:
    """Return a lens with both poles on the patient's left, closed by advancing the other side."""
    top, bottom = (-22.0, 66.0), (-22.0, -18.0)
    left, right = arc(top, bottom, -8.0), arc(bottom, top, 34.0)
    removed = tuple(left[:-1] + right[:-1])
    corners = {"A": top, "B": bottom}
    closure = Closure(
        kind=ClosureKind.ADVANCEMENT,
        name="Asymmetric advancement",
        donor_side=Side.RIGHT,
        points_mm=corners,
        removed_mm=removed,
        incisions_mm=(),
        flaps=(),
        seams=(Seam(name="A–B", fixed_mm=tuple(left), moved_mm=tuple(right[::-1])),),
        scar_mm=(tuple(left),),
        undermined_mm=tuple(right + [(x + 30.0, y) for x, y in reversed(right)]),
        parameters=(Parameter(name="length", value=84.0, unit="mm"),),
    )
    excision = excision_of({"A": top, "B": bottom}, "AB", OutlineKind.ASYMMETRIC_LENS)
    scar = scar_of(closure)
    return Plan(
        id=letter,
        best_at=_BEST_AT[letter],
        price=_PRICE[letter],
        excision=replace(excision, outline_mm=removed, area_mm2=area(list(removed))),
        closure=closure,
        scar=scar,
        shape=Shape(
            edge_mismatch_mm=12.0,
            base_to_length_ratio=None,
            donor_closure_mm=0.0,
            flap_area_mm2=0.0,
            defect_area_mm2=area(list(removed)),
        ),
        limits=limit_checks(scar),
    )


def midline_comparator() -> Comparator:
    """Return the midline closure that is shown only to compare."""
    top, bottom = (0.0, 66.0), (0.0, -6.0)
    left, right = arc(top, bottom, -17.0), arc(bottom, top, 17.0)
    removed = tuple(left[:-1] + right[:-1])
    closure = Closure(
        kind=ClosureKind.MIDLINE,
        name="Midline fusiform",
        donor_side=None,
        points_mm={"A": top, "B": bottom},
        removed_mm=removed,
        incisions_mm=(),
        flaps=(),
        seams=(Seam(name="A–B", fixed_mm=tuple(left), moved_mm=tuple(right[::-1])),),
        scar_mm=((top, bottom),),
        undermined_mm=(),
        parameters=(),
    )
    excision = excision_of({"A": top, "B": bottom}, "AB", OutlineKind.FUSIFORM)
    return Comparator(
        excision=replace(excision, outline_mm=removed),
        closure=closure,
        scar=scar_of(closure),
        warning="Closing in the midline is called obsolete by the German guideline of 2020.",
    )


def excision_of(corners: dict[str, Point2], letters: str, kind: OutlineKind) -> Excision:
    """Return an excision with walls straight down and plausible figures."""
    names = [f"{p}–{q}" for p, q in zip(letters, letters[1:] + letters[0], strict=True)]
    walls = tuple(Wall(name=name, line_mm=(corners[name[0]], corners[name[-1]])) for name in names)
    outline = tuple(corners[n] for n in letters)
    volume_ml = 2165.0 * DEPTH_MM / 1000
    return Excision(
        outline=Outline(
            kind=kind,
            corners=tuple(Corner(name=n, at_mm=corners[n]) for n in letters),
            walls=walls,
            wall_angle_deg=0.0,
        ),
        outline_mm=outline,
        area_mm2=area(list(outline)),
        depth_mm=DEPTH_MM,
        volume_ml=volume_ml,
        volume_low_ml=volume_ml * 0.93,
        volume_high_ml=volume_ml * 1.07,
        healthy_ml=volume_ml * 0.6,
        least_clearance_mm=7.2,
        least_wall_clearance_mm=7.2,
        clearances=(
            clearance("T1", names[0], 7.2, (-8.8, 43.0, -14.0)),
            clearance("T2", names[-1], 7.7, (0.0, 29.0, 0.0)),
            clearance("cavity", names[0], 7.4, (-8.8, 43.0, -14.0)),
        ),
        chance_clear=ChanceClear(
            at_least_mm=5.0, chance=0.94, chance_low=0.912, chance_high=0.957, quantile05_mm=4.6
        ),
    )  # fmt: skip


def clearance(
    part: str, wall: str, least_mm: float, at_mm: tuple[float, float, float]
) -> Clearance:
    """Return how far a part stays from its wall, and from the floor below it."""
    floor_mm = DEPTH_MM + at_mm[2] - 3.0
    return Clearance(part=part, wall=wall, least_mm=least_mm, floor_mm=floor_mm, at_mm=at_mm)


def scar_of(closure: Closure) -> Scar:
    """Measure the scar from its lines."""
    points = [p for line in closure.scar_mm for p in line]
    lower = min(points, key=lambda p: p[1])
    lengths = [
        distance(p, q) for line in closure.scar_mm for p, q in zip(line, line[1:], strict=False)
    ]
    touches = {round(y, 3) for x, y in points if abs(x) < 1e-9}
    off = abs(lower[0])
    return Scar(
        polyline_mm=closure.scar_mm[0],
        branches_mm=closure.scar_mm[1:],
        length_mm=sum(lengths),
        least_midline_mm=min(abs(p[0]) for p in points),
        lower_end_mm=lower,
        lower_end_midline_mm=off,
        lower_end_low_mm=max(0.0, off - 1.0),
        lower_end_high_mm=off + 2.0,
        lower_end_anal_verge_mm=distance(lower, (0.0, -52.0)),
        share_beyond_10mm=0.7,
        midline_crossings=len(touches),
    )  # fmt: skip


def limit_checks(scar: Scar) -> tuple[LimitCheck, ...]:
    """Return what was asked and what the plan reaches."""
    return (
        LimitCheck(limit="least clearance", asked=5.0, reached=7.2, unit="mm", kept=True),
        LimitCheck(
            limit="lower end of the scar off the midline",
            asked=20.0,
            reached=scar.lower_end_midline_mm,
            unit="mm",
            kept=scar.lower_end_midline_mm >= 20.0 - 1e-9,
        ),
        LimitCheck(limit="base to length of the flap", asked=0.7, reached=1.0, unit="", kept=True),
    )


def towards(start: Point2, length_mm: float, angle_deg: float) -> Point2:
    """Return the point at a distance in a direction."""
    turn = radians(angle_deg)
    return (start[0] + length_mm * cos(turn), start[1] + length_mm * sin(turn))


def towards_point(start: Point2, end: Point2, share: float) -> Point2:
    """Return the point at a share of the way."""
    return (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))


def middle_of(p: Point2, q: Point2) -> Point2:
    """Return the point half way."""
    return towards_point(p, q, 0.5)


def distance(p: Point2, q: Point2) -> float:
    """Return how far two points lie apart."""
    return hypot(q[0] - p[0], q[1] - p[1])


def area(points: Sequence[Point2]) -> float:
    """Return the area of a closed polygon (shoelace)."""
    pairs = zip(points, [*points[1:], points[0]], strict=True)
    return abs(sum(p[0] * q[1] - q[0] * p[1] for p, q in pairs)) / 2


def arc(start: Point2, end: Point2, bulge_mm: float, count: int = 24) -> list[Point2]:
    """Return a flat curve from start to end that bulges to +x by the given height."""
    points = []
    for i in range(count + 1):
        share = i / count
        x, y = towards_point(start, end, share)
        points.append((x + bulge_mm * 4 * share * (1 - share), y))
    return points


_NAMES = {
    ClosureKind.LIMBERG: "Limberg, tilted",
    ClosureKind.DUFOURMENTEL: "Dufourmentel, 60°",
    ClosureKind.RHOMBIC_30: "Rhombic, 30° tip",
}

_BEST_AT = {
    "A": "Fills the wound with the thickest tissue.",
    "B": "Has the widest base for the flap's blood supply.",
    "C": "Comes from the patient's left and takes the smallest flap.",
    "D": "Makes no cut beyond the excision.",
}

_PRICE = {
    "A": "The scar meets the midline at its upper end.",
    "B": "The donor edges must come together by 26 mm.",
    "C": "One edge must be eased by 9 mm.",
    "D": "",
}


def mirrored(plan_set: PlanSet) -> PlanSet:
    """Return the same case with the patient's left and right swapped throughout."""
    return _flipped(plan_set)


def _flipped(thing: object, name: str = "") -> object:
    if isinstance(thing, Side):
        return thing.other
    if is_dataclass(thing):
        parts = {f.name: getattr(thing, f.name) for f in fields(thing)}
        return replace(thing, **{key: _flipped(part, key) for key, part in parts.items()})
    if name == "points_mm":
        return {letter: (-x, y) for letter, (x, y) in thing.items()}
    if name == "angle_deg":
        return -thing
    if name == "half_axes_mm" or not isinstance(thing, tuple):
        return thing
    if name.endswith("_mm") and _is_point(thing):
        return (-thing[0], *thing[1:])
    return tuple(_flipped(one, name if name.endswith("_mm") else "") for one in thing)


def _is_point(thing: tuple) -> bool:
    return len(thing) in (2, 3) and all(isinstance(value, float) for value in thing)
