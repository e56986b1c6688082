"""A department in Debian's Chromium: over TLS, with accounts, and a session that ends."""

import subprocess
import sys

import pytest
from accessibility import faults
from databases import free_port

from crena.app.department import kept_account

PASSWORD = "four words of no sense"
PATIENCE_MS = 90_000


@pytest.fixture(scope="module")
def ward(tmp_path_factory):
    """Serve a department with a surgeon and a reader; give its address."""
    folder, port = tmp_path_factory.mktemp("ward"), free_port()
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj",
         "/CN=localhost", "-keyout", folder / "key.pem", "-out", folder / "cert.pem"],
        check=True, capture_output=True,
    )  # fmt: skip
    settings = folder / "department.toml"
    settings.write_text(
        f'database = "sqlite:///{folder}/cases.db"\nfiles = "files"\nnames = ["localhost"]\n'
        f'port = {port}\ncertificate = "cert.pem"\nkey = "key.pem"\n'
    )
    for name, role in (("surgeon", "plan"), ("reader", "read")):
        kept_account(settings, name, role, PASSWORD)
    command = [sys.executable, "-m", "crena", "department", str(settings)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        yield server.stdout.readline().split()[-1]
        server.terminate()


@pytest.fixture
def desk(browser, ward):
    context = browser.new_context(ignore_https_errors=True, locale="en-GB")
    made = context.new_page()
    made.set_default_timeout(PATIENCE_MS)
    made.goto(ward)
    yield made
    context.close()


def log_in(page, name, password=PASSWORD):
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Log in").click()


def test_who_is_not_logged_in_sees_no_case_and_hears_why(desk):
    desk.get_by_role("heading", name="Log in").wait_for()
    assert faults(desk) == []
    log_in(desk, "surgeon", "wrong")
    desk.get_by_text("after 5 wrong passwords").wait_for()
    assert desk.locator(".case-list").count() == 0
    assert desk.get_by_label("Name", exact=True).input_value() == "surgeon"


def test_what_is_typed_survives_the_end_of_a_session_and_a_reader_cannot_change_it(desk):
    log_in(desk, "surgeon")
    desk.get_by_role("button", name="Start a new case").click()
    desk.get_by_label("Label of the case").fill("Typed before")
    desk.context.clear_cookies()
    desk.get_by_role("button", name="Start this case").click()
    desk.get_by_text("The session is over").wait_for()
    assert not desk.get_by_label("Label of the case").is_visible()
    log_in(desk, "surgeon")
    assert desk.get_by_label("Label of the case").input_value() == "Typed before"
    desk.get_by_role("button", name="Start this case").click()
    desk.get_by_role("navigation").wait_for()
    desk.get_by_role("button", name="Log out").click()
    log_in(desk, "reader")
    desk.get_by_text("Your account may read.").first.wait_for()
    plan = desk.get_by_role("button", name="Plan the excision")
    assert plan.get_attribute("aria-disabled") == "true"
    assert faults(desk) == []
