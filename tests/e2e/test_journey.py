"""One case from nothing to the patient's sheet, whatever breaks on the way.

After each part of the journey something happens: the page is loaded anew, its tab is closed, or
the server is killed. What was entered by then is there again. One journey is made with a pointer
on a desk, in English; one with keys alone on a tablet, in German, on dark paper.
"""

import re
from datetime import datetime, time, timedelta
from io import BytesIO

import pdfplumber
import pytest
from hands import Keys, Pointer, Server, days_before_today, pixel_of
from printed_pages import pages_of, words_of
from test_draw_templates import bars_mm

from crena.imaging import PhantomRecipe, read_series, render, write_series

LONG_MS = 300_000
DAYS_AGO = 4
VOLUMES = ("34", "21", "15,5", "9")


@pytest.fixture(scope="module")
def phantom():
    return render(PhantomRecipe(seed=12))


@pytest.fixture(scope="module")
def series(phantom, tmp_path_factory):
    """Write the scan as a disc has it."""
    folder = tmp_path_factory.mktemp("disc") / "mri"
    write_series(phantom.volume, folder, label="INVENTED^TWO", uid_seed="two")
    return folder


@pytest.fixture(
    params=[(Pointer, "en", 1440, "light"), (Keys, "de", 820, "dark")], ids=["pointer", "keys"]
)
def person(request, browser, tmp_path):
    """Sit somebody down at a page of their own; nothing is asked of another machine."""
    hands, language, width, paper = request.param
    context = browser.new_context(
        viewport={"width": width, "height": 900},
        locale="en-GB",
        reduced_motion="reduce",
        color_scheme=paper,
    )
    context.set_default_timeout(90_000)
    asked, server = [], Server(tmp_path)
    context.on("request", lambda request: asked.append(request.url))
    yield hands(server, context, language)
    context.close()
    server.close()
    assert [url for url in asked if url.startswith("http") and server.base not in url] == []


def test_a_case_goes_its_whole_way_and_nothing_is_lost(person, series, phantom):
    begin(person)
    person.upload(series)
    person.page.locator(".slice-paper").wait_for()
    person.reloaded()
    mark(person, phantom, read_series(series))
    person.server_killed()
    plan(person)
    keep_a_moved_plan(person)
    person.tab_closed()
    sign(person)
    person.server_killed()
    measure(person)
    person.reloaded()
    plan_in_theatre(person)
    person.tab_closed()
    record(person)
    person.server_killed()
    heal(person)
    person.reloaded()
    sheet = person.gets("sheets/patient-de.pdf").body()
    assert "Fäden" in " ".join(words_of(each) for each in pages_of(sheet))


def begin(person):
    """Start a case with its two identifiers; every question is asked, and answered no."""
    person.press("cases.new.open")
    person.fill("cases.new.label", "Case 40")
    person.fill("cases.new.identifier", "Y-40")
    for each in person.page.get_by_role("button", name=person.say("cases.new.all_no")).all():
        person.do(each)
    person.looked("begun")
    person.press("cases.new.start")
    person.page.wait_for_url(re.compile("/disease$"))


def mark(person, phantom, volume):
    """Mark landmarks, bone and the first tract on the slices."""
    person.page.locator(".slice-paper").wait_for()
    for name, place in (
        ("coccyx_tip", phantom.coccyx_tip_lps_mm),
        ("sacral_crest", phantom.sacral_crest_lps_mm),
        ("anal_verge", phantom.anal_verge_lps_mm),
    ):
        choose_mark(person, name)
        mark_at(person, volume, place)
    choose_mark(person, "midline_bone")
    for place in phantom.presacral_lps_mm[:8:3]:
        mark_at(person, volume, place)
    line = phantom.tracts[0].centre_lps_mm
    person.press("scan.add_tract")
    mark_at(person, volume, line[0])
    choose_mark(person, "blind_end")
    mark_at(person, volume, line[-1])
    choose_mark(person, "way_point")
    mark_at(person, volume, line[len(line) // 2])
    clicks = person.case()["dossier"]["case"]["clicks"]
    assert len(clicks["tracts"]) == 1 and clicks["tracts"][0]["blind_end_lps_mm"] is not None
    person.looked("marked")


def choose_mark(person, name):
    words = re.escape(person.say(f"scan.mark.{name}"))
    person.do(person.page.locator(".mark-choose", has_text=re.compile(words)).first)


def mark_at(person, volume, place):
    """Mark a place of the patient, on the slice that holds it."""
    person.mark(*pixel_of(volume, place))


def plan(person):
    person.primary("disease.plan")
    person.page.wait_for_url(re.compile("/closure$"), timeout=LONG_MS)
    person.page.locator(".plan-row").first.wait_for()
    person.looked("planned")


def keep_a_moved_plan(person):
    """Move a corner a little outwards and keep that as the surgeon's own plan."""
    page = person.page
    name = person.say("moving.corner", name="A", act="").rstrip(", ")
    person.move(page.get_by_role("button", name=re.compile(f"^{name},")))
    plans = page.locator(".plan-row").count()
    person.primary("moving.keep")
    page.wait_for_function(
        "n => document.querySelectorAll('.plan-row').length > n", arg=plans, timeout=LONG_MS
    )


def sign(person):
    """Choose the plan that was kept and sign it off."""
    own = person.gets("plans").json()["plans"][-1]
    assert own["moved"] is not None
    person.do(person.page.locator(".plan-row input").last)
    person.primary("closure.choose", plan=own["id"])
    person.sees("closure.sign.title", plan=own["id"])
    side = own["closure"]["donor_side"].split()[-1]
    person.fill("closure.sign.side", person.say(f"shell.side.{side}"))
    person.fill("closure.sign.label", "case 40")
    person.fill("closure.sign.identifier", "y-40")
    person.looked("signing")
    person.field("closure.sign.identifier").press("Enter")
    person.page.wait_for_url(re.compile("/marking$"))


def measure(person):
    """Print the template, lay the ruler on its bars, type what it says."""
    with person.context.expect_page() as opened:
        person.primary("marking.print")
    sheet = person.context.request.get(opened.value.url).body()
    opened.value.close()
    bars = bars_mm(pdfplumber.open(BytesIO(sheet)).pages[0])
    for key, (length, *_) in zip(("across", "along"), bars, strict=True):
        assert length == pytest.approx(100.0, abs=0.02)
        person.fill(f"marking.{key}", f"{length:.1f}".replace(".", ","))
    person.primary("marking.keep_bars")
    person.sees("marking.ready")
    person.looked("ready")


def plan_in_theatre(person):
    """Find the hole larger than planned, plan for it, use the first of the new plans."""
    page = person.page
    person.primary("marking.to_theatre")
    page.wait_for_url(re.compile("/theatre$"))
    person.press("theatre.hole.name")
    more = person.say("theatre.more", what=person.say("theatre.hole.off"))
    for _ in range(4):
        for _ in range(3):
            person.do(page.get_by_role("button", name=more))
        person.do(page.locator(".primary-button"))
    page.locator(".tile").first.wait_for(timeout=LONG_MS)
    person.looked("hole")
    letter = page.locator(".tile").first.inner_text().strip()[0]
    person.primary("theatre.plans.take", plan=letter)
    page.get_by_role("button", name=person.say("theatre.plans.on")).wait_for()
    done = person.case()["dossier"]["case"]["operation"]
    assert done["plan_code"].startswith("T") and len(done["measured"]) == 4


def record(person):
    """Stamp a step; record layers, counts, a drain, and the day, which was four days ago."""
    person.press("theatre.steps.name")
    step = re.compile("^" + re.escape(person.say("theatre.step.marked")))
    person.do(person.page.get_by_role("button", name=step).first)
    person.press("theatre.record.name")
    person.press("theatre.layers.confirm")
    person.choose("theatre.counts.yes")
    person.choose("theatre.drains.laid")
    person.fill("theatre.drains.size", "10")
    person.date(person.field("theatre.record.day"), days_before_today(DAYS_AGO))
    operation = person.case()["dossier"]["case"]["operation"]
    assert operation["operated_on"] == days_before_today(DAYS_AGO).isoformat()
    assert operation["counts_agree"] == "yes" and len(operation["steps"]) == 1
    person.looked("recorded")
    assert person.gets("sheets/operation-note.pdf").body().startswith(b"%PDF")


def heal(person):
    """Read the drain for four days and see its forecast narrow; then the stitches come out."""
    person.page.goto(re.sub(r"/[a-z]+$", "/healing", person.page.url))
    day, widths = days_before_today(DAYS_AGO), []
    person.date(person.field("healing.reading.ended"), datetime.combine(day, time(11)))
    for number, volume in enumerate(VOLUMES, start=1):
        emptied = datetime.combine(day + timedelta(days=number), time(0, 20))
        person.fill("healing.reading.volume", volume)
        person.date(person.field("healing.reading.at"), emptied)
        person.press("healing.reading.save")
        widths.append(width_after(person, number))
    assert widths[-1] < widths[0], widths
    person.press("healing.support.all_out")
    care = person.case()["dossier"]["case"]["aftercare"]
    assert care["stitches_out_on"] == days_before_today(0).isoformat()
    person.looked("healed")


def width_after(person, readings):
    """Return the width of the forecast in days, once so many readings are saved."""
    for _ in range(100):
        drain = person.gets("healing").json()["drain"]
        if drain and drain["readings"] == readings:
            return drain["to_day"] - drain["from_day"]
        person.page.wait_for_timeout(100)
    raise AssertionError("the reading was not saved")
