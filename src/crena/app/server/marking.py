"""What is needed to mark the skin: the print, the ruler table, the sheets that are about."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Path, Response

from crena.app.languages import LanguageCode
from crena.app.server.cases import CHANGED, MISSING
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.entering import enter
from crena.app.server.plans import printed_set_of, sign_off_of
from crena.app.server.sheets import KINDS, SheetOrder, sheets_of
from crena.app.server.signing import this_second
from crena.app.server.standing import (
    SAY_WHETHER_SIGNED,
    are_old,
    has_template,
    is_superseded,
    printed_name,
    printed_sign_off,
    refuse_old,
    standing_bars,
)
from crena.draw import Paper, template_pages
from crena.draw.ruler_table import bent_edges, ruler_table
from crena.draw.templates import drawn_plan
from crena.records import (
    ConflictError,
    Dossier,
    IssuedSheet,
    Language,
    MissingError,
    Plan,
    Point2,
    PrintedBars,
    Record,
    Revision,
    Side,
    SignOff,
)
from crena.records.numbers import whole
from crena.store.revisions import read_case

routes = APIRouter(prefix="/api/cases/{case_id}", tags=["marking"])

PageNumber = Annotated[int, Path(ge=1, le=99)]


@dataclass(frozen=True, slots=True, kw_only=True)
class RulerPoint(Record):
    """A corner as a ruler finds it, in whole millimetres along the skin."""

    name: str
    off_midline_mm: int
    side: Side | None  #: none: on the midline
    above_tip_mm: int  #: of the coccyx; below it is negative


@dataclass(frozen=True, slots=True, kw_only=True)
class RulerEdge(Record):
    """A bent cut by points along it."""

    name: str
    points: tuple[RulerPoint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RulerTable(Record):
    """A plan as distances, so that pen and ruler can draw it."""

    points: tuple[RulerPoint, ...]
    between: tuple[tuple[str, ...], ...]  #: row by row, to the corners before; else empty
    edges: tuple[RulerEdge, ...]
    uncut: tuple[str, ...]  #: pedicles, by their ends


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedLine(Record):
    """A sheet that left the program, and whether it still says what the case says."""

    sheet: IssuedSheet
    superseded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking(Record):
    """How far a case is on its way to the skin."""

    old: bool  #: the case was changed after its plans were made
    plan: str  #: letter of the chosen plan, or of the one that was followed; or empty
    flap_from: Side | None  #: of the plan that is drawn
    signed: SignOff | None  #: only if it holds, and is of the plan that is drawn
    void: SignOff | None  #: a sign-off that does not hold any more
    bars: PrintedBars | None  #: only if they are of this print
    printed: bool  #: a template of the plan as it is now is about
    ready: bool  #: for theatre
    ruler: RulerTable
    issued: tuple[IssuedLine, ...]  #: the last one first


@dataclass(frozen=True, slots=True, kw_only=True)
class Issued(Record):
    """A sheet that may be printed now, and the case with its name on record."""

    href: str
    revision: Revision


@routes.get("/marking", responses=MISSING)
def get_marking(case_id: str, desk: AtDesk) -> Marking:
    """Say what is signed, printed, measured and superseded, and give the ruler table."""
    dossier = read_case(desk.store, case_id, desk.author("marking")).dossier
    plan = drawn_plan(printed_set_of(desk, case_id, dossier))
    signed, bars = printed_sign_off(dossier), standing_bars(dossier)
    return Marking(
        old=are_old(dossier),
        plan=printed_name(dossier)[1],
        flap_from=plan.closure.donor_side,
        signed=signed,
        void=None if signed else dossier.signed,
        bars=bars,
        printed=has_template(dossier),
        ready=bars is not None,
        ruler=ruler_of(plan),
        issued=tuple(
            IssuedLine(sheet=sheet, superseded=is_superseded(dossier, sheet))
            for sheet in reversed(dossier.sheets)
        ),
    )


@routes.get("/template-pages", responses=CHANGED)
def count_pages(
    case_id: str, desk: AtDesk, paper: Paper = Paper.A4, language: LanguageCode = LanguageCode.EN
) -> int:
    """Return how many pages the template has on this paper."""
    return len(_pages(desk, case_id, paper, language.language))


@routes.get("/template-pages/{number}", responses=CHANGED, response_class=Response)
def get_page(
    case_id: str,
    number: PageNumber,
    desk: AtDesk,
    paper: Paper = Paper.A4,
    language: LanguageCode = LanguageCode.EN,
) -> Response:
    """Return one page of the template as a picture, as it will be printed."""
    pages = _pages(desk, case_id, paper, language.language)
    if number > len(pages):
        raise MissingError("The template has fewer pages.")
    return Response(pages[number - 1], media_type="image/svg+xml")


@routes.post("/sheets/{name}", status_code=201, responses=CHANGED)
def issue_sheet(
    case_id: str,
    name: str,
    desk: AtDesk,
    paper: Paper = Paper.A4,
    language: LanguageCode = LanguageCode.EN,
) -> Issued:
    """Put a sheet on record as given out, and say where it is."""
    if name not in KINDS:
        raise MissingError("There is no sheet of that name.")
    revision = enter(
        desk, case_id, lambda last: _issued(desk, case_id, last, name, paper), f"printed {name}"
    )
    asked = f"paper={paper.value}&language={language.value}"
    return Issued(href=f"/api/cases/{case_id}/sheets/{name}?{asked}", revision=revision)


def ruler_of(plan: Plan) -> RulerTable:
    """Return a plan as whole distances."""
    printed = ruler_table(plan)
    return RulerTable(
        points=tuple(_point(corner.name, corner.at_mm) for corner in plan.closure.corners),
        between=tuple(tuple(row) for row in printed["between"]),
        edges=tuple(
            RulerEdge(
                name=name, points=tuple(_point(f"{i}", p) for i, p in enumerate(points, start=1))
            )
            for name, points in bent_edges(plan.closure)
        ),
        uncut=tuple(name for name in printed["uncut"] if name),
    )


def _point(name: str, at_mm: Point2) -> RulerPoint:
    off_mm = whole(abs(at_mm[0]))
    side = Side.RIGHT if at_mm[0] > 0 else Side.LEFT
    return RulerPoint(
        name=name,
        off_midline_mm=off_mm,
        side=side if off_mm else None,
        above_tip_mm=whole(at_mm[1]),
    )


def _pages(desk: Desk, case_id: str, paper: Paper, language: Language) -> tuple[bytes, ...]:
    dossier = read_case(desk.store, case_id, desk.author("template seen")).dossier
    plan_set = printed_set_of(desk, case_id, dossier)
    refuse_old(dossier, "print")
    signed = sign_off_of(dossier, plan_set)
    return template_pages(plan_set, paper=paper, signed=signed, language=language)


def _issued(desk: Desk, case_id: str, dossier: Dossier, name: str, paper: Paper) -> Dossier:
    """Return the dossier with a sheet on record, if it can be drawn."""
    plan_set = printed_set_of(desk, case_id, dossier)
    refuse_old(dossier, "print")
    if not printed_name(dossier)[1]:
        raise ConflictError("No plan is chosen yet. Choose one, then print.")
    signed = sign_off_of(dossier, plan_set)
    order = SheetOrder(name=name, paper=paper, today=date.today(), signed=signed)
    sheets_of(dossier.case, plan_set, order)
    sheet = IssuedSheet(
        kind=name,
        code=plan_set.code,
        plan=plan_set.chosen,
        paper=paper.value,
        at=this_second(),
        signed_at=signed.at if signed and name in SAY_WHETHER_SIGNED else None,
    )
    return replace(dossier, sheets=(*dossier.sheets, sheet))
