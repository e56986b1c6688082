"""Logging in and out: cookies, lock-out, ends of sessions, and what does not show."""

import statistics
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from databases import KINDS
from departments import ADDRESS, HASH, PASSWORD, log_in, opened_ward

from crena.app.server.sessions import REFUSED_AFTER_S, WRONG
from crena.store.accounts import (
    LOCKED,
    MOST_FAILURES,
    Role,
    account_of,
    remove_account,
    set_account,
)
from crena.store.verify import verify


@pytest.fixture(params=KINDS)
def ward(request, tmp_path, monkeypatch):
    monkeypatch.setattr("crena.app.server.sessions.REFUSED_AFTER_S", 0.0)
    with opened_ward(request.param, tmp_path) as opened:
        yield opened


def test_nobody_is_in_until_the_right_password_is_given(ward):
    client = ward.browser()
    assert client.get("/api/session").json() == {
        "mode": "department", "name": "", "may": [], "locks_after": 5, "locked_minutes": 15,
    }  # fmt: skip
    assert client.get("/api/cases").status_code == 401
    assert log_in(client, " Surgeon ").json()["may"] == ["read", "follow up", "plan"]
    assert client.get("/api/session").json()["name"] == "surgeon"
    assert client.get("/api/cases").json() == []


@pytest.mark.parametrize("name", ["q\\u0000l", "\\ud800", "chief\\u0000"])
def test_a_name_that_no_database_holds_is_wrong_like_any_other(ward, name):
    sent = f'{{"name": "{name}", "password": "{PASSWORD}"}}'
    kind = {"Content-Type": "application/json"}
    answer = ward.browser().post("/api/session", content=sent, headers=kind)
    assert answer.status_code in (401, 422)
    assert ward.browser().get("/api/cases").status_code == 401


def test_the_cookie_is_for_this_host_over_tls_and_kept_from_scripts(ward):
    cookie = log_in(ward.browser(), "reader").headers["set-cookie"]
    assert cookie.startswith("__Host-crena=")
    for word in ("Secure", "HttpOnly", "SameSite=strict", "Path=/"):
        assert word in cookie
    assert "Domain" not in cookie


def test_the_browser_is_told_to_come_by_tls_only(ward):
    assert "max-age" in ward.browser().get("/").headers["strict-transport-security"]


def test_logging_out_ends_the_session_itself_and_not_only_the_cookie(ward):
    client = ward.logged_in("reader")
    cookie = client.cookies["__Host-crena"]
    assert client.delete("/api/session").status_code == 204
    answer = ward.browser().get("/api/cases", headers={"Cookie": f"__Host-crena={cookie}"})
    assert answer.status_code == 401


@pytest.mark.parametrize("token", ["", "guessed", "x" * 5000, '"\\351"'])
def test_a_token_that_was_not_given_opens_nothing(ward, token):
    answer = ward.browser().get("/api/cases", headers={"Cookie": f"__Host-crena={token}"})
    assert answer.status_code == 401


def test_the_door_of_the_laptop_is_not_there(ward):
    assert ward.browser().get("/enter/anything").status_code == 404


def test_a_session_ends_when_it_is_not_used_and_says_so(ward):
    client = ward.logged_in("reader")
    ward.store.clock.pass_by(minutes=14)
    assert client.get("/api/cases").status_code == 200
    ward.store.clock.pass_by(minutes=14)
    assert client.get("/api/cases").status_code == 200
    ward.store.clock.pass_by(minutes=16)
    answer = client.get("/api/cases")
    assert answer.status_code == 401 and "what you typed is kept" in answer.json()["detail"]
    assert client.get("/api/session").json()["name"] == ""


def test_a_session_ends_after_its_longest_time_though_it_is_used(ward):
    client = ward.logged_in("reader")
    for _ in range(12 * 6):
        ward.store.clock.pass_by(minutes=10)
        assert client.get("/api/cases").status_code == 200
    ward.store.clock.pass_by(minutes=10)
    assert client.get("/api/cases").status_code == 401


def test_wrong_passwords_in_a_row_lock_an_account_for_a_while(ward):
    client = ward.browser()
    for _ in range(MOST_FAILURES):
        assert log_in(client, "reader", "wrong password").status_code == 401
    assert log_in(client, "reader").status_code == 401
    assert log_in(client, "nurse").status_code == 201
    ward.store.clock.pass_by(seconds=LOCKED.total_seconds() + 1)
    assert log_in(client, "reader").status_code == 201


def test_a_right_password_forgets_the_wrong_ones(ward):
    for _ in range(3):
        client = ward.browser()
        for _ in range(MOST_FAILURES - 1):
            log_in(client, "reader", "wrong password")
        assert log_in(client, "reader").status_code == 201


def test_many_tries_at_once_share_no_count(ward):
    """Were the password looked at before the try is counted, all of them would be."""
    guesses = [*(f"wrong password {n}" for n in range(MOST_FAILURES)), *[PASSWORD] * 5]
    with ThreadPoolExecutor(10) as threads:
        list(threads.map(lambda g: log_in(ward.browser(), "reader", g), guesses[:MOST_FAILURES]))
        late = list(threads.map(lambda g: log_in(ward.browser(), "reader", g), guesses[5:]))
    assert [answer.status_code for answer in late] == [401] * 5


def test_unknown_locked_and_wrong_are_told_in_the_same_words(ward):
    client = ward.browser()
    told = {log_in(client, "reader", "wrong password").json()["detail"] for _ in range(6)}
    told |= {log_in(client, name).json()["detail"] for name in ("reader", "nobody", "", "a b;--")}
    assert told == {WRONG}


def test_a_changed_role_or_password_ends_the_sessions(ward):
    client = ward.logged_in("surgeon")
    set_account(ward.store, "surgeon", Role.READ, HASH)
    assert client.get("/api/cases").status_code == 401
    assert log_in(client, "surgeon").json()["may"] == ["read"]


def test_a_removed_account_is_out_at_once(ward):
    client = ward.logged_in("surgeon")
    remove_account(ward.store, "surgeon")
    assert client.get("/api/cases").status_code == 401
    assert log_in(client, "surgeon").status_code == 401


def test_logging_in_from_another_page_is_refused(ward):
    client = ward.browser()
    typed = {"name": "reader", "password": PASSWORD}
    foreign = {"Origin": "https://evil.example"}
    assert client.post("/api/session", json=typed, headers=foreign).status_code == 403
    own = {"Origin": ADDRESS}
    assert client.post("/api/session", json=typed, headers=own).status_code == 201


def test_an_answer_with_a_cookie_is_never_given_again(ward):
    typed, headers = {"name": "reader", "password": PASSWORD}, {"Idempotency-Key": "k"}
    first, second = (
        ward.browser().post("/api/session", json=typed, headers=headers) for _ in range(2)
    )
    assert first.headers["set-cookie"] != second.headers["set-cookie"]


def test_who_was_let_in_is_in_the_audit_and_its_chain_is_whole(ward):
    ward.logged_in("reader").delete("/api/session")
    assert verify(ward.store).faults == ()
    assert verify(ward.store).head.entries >= 2


def test_no_password_and_no_token_is_stored_as_it_is(ward, tmp_path):
    client = ward.logged_in("reader")
    token = client.cookies["__Host-crena"]
    account = account_of(ward.store, "reader")
    assert account.password_hash.startswith("$argon2id$")
    kept = b"".join(p.read_bytes() for p in tmp_path.glob("cases.db*"))
    assert token.encode() not in kept and PASSWORD.encode() not in kept


def test_a_refusal_takes_as_long_whether_the_name_is_known_or_not(tmp_path):
    with opened_ward("sqlite", tmp_path) as ward:
        client = ward.browser()
        log_in(client, "nobody", "warm")
        took = {name: [] for name in ("reader", "nobody")}
        for _ in range(3):
            for name, times in took.items():
                began = time.perf_counter()
                assert log_in(client, name, "wrong password").status_code == 401
                times.append(time.perf_counter() - began)
    middle = [statistics.median(times) for times in took.values()]
    assert min(middle) >= REFUSED_AFTER_S
    assert abs(middle[0] - middle[1]) < 0.1
