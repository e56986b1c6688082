"""The settings of a department and its accounts on the terminal."""

import subprocess

import pytest
from typer.testing import CliRunner

from crena.app.cli import AccountRole, cli
from crena.app.department import read_department
from crena.app.passwords import hashed, is_right
from crena.records import InputError
from crena.store.accounts import Role, account_of
from crena.store.database import open_store

PASSWORD = "four words of no sense"
PLAIN = """
database = "sqlite:///{folder}/cases.db"
files = "files"
names = ["Crena.Example"]
"""


def settings(folder, more="behind_proxy = true"):
    path = folder / "department.toml"
    path.write_text(PLAIN.format(folder=folder) + more)
    return path


@pytest.fixture(scope="module")
def certificate(tmp_path_factory):
    """Make a certificate of its own, as openssl does it."""
    folder = tmp_path_factory.mktemp("tls")
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj",
         "/CN=crena.example", "-keyout", folder / "key.pem", "-out", folder / "cert.pem"],
        check=True, capture_output=True,
    )  # fmt: skip
    return folder


def test_settings_are_read_and_names_get_the_port_that_a_browser_shows(tmp_path, certificate):
    behind = read_department(settings(tmp_path))
    assert behind.hosts == {"crena.example"} and behind.files == tmp_path / "files"
    tls = f'certificate = "{certificate}/cert.pem"\nkey = "{certificate}/key.pem"\n'
    assert read_department(settings(tmp_path, tls)).hosts == {"crena.example:8443"}
    assert read_department(settings(tmp_path, tls + "port = 443")).hosts == {"crena.example"}


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ("", "passwords never go over an open line"),
        ('certificate = "a.pem"', "passwords never go over an open line"),
        ('behind_proxy = true\nkey = "a.pem"', "either behind_proxy = true"),
        ('certificate = "a.pem"\nkey = "b.pem"', "cannot be used: No such file"),
        ("behind_proxy = true\nport = 0", "port is 0"),
        ("behind_proxy = true\nidle_minutes = 5000", "idle_minutes is 5000"),
        ("behind_proxy = true\nsecret = 1", "secret"),
        ("behind_proxy = ", "is not TOML"),
    ],
)
def test_a_wrong_setting_is_told_in_one_sentence(tmp_path, more, sentence):
    with pytest.raises(InputError, match=sentence):
        read_department(settings(tmp_path, more))


@pytest.mark.parametrize("names", ["[]", '[""]', '["https://crena.example"]', '["*"]'])
def test_a_name_that_no_browser_shows_is_refused(tmp_path, names):
    path = settings(tmp_path)
    path.write_text(path.read_text().replace('["Crena.Example"]', names))
    with pytest.raises(InputError, match="names holds"):
        read_department(path)


def test_a_password_of_the_database_is_kept_from_others(tmp_path):
    path = settings(tmp_path)
    path.write_text(path.read_text().replace("sqlite:///", "postgresql+psycopg://u:word@h/"))
    path.chmod(0o644)
    with pytest.raises(InputError, match="others may read it"):
        read_department(path)
    path.chmod(0o600)
    assert "word" in read_department(path).database


def test_a_missing_file_is_said_to_be_missing(tmp_path):
    with pytest.raises(InputError, match="There is no file"):
        read_department(tmp_path / "nothing.toml")


def account(folder, *arguments, typed=f"{PASSWORD}\n{PASSWORD}\n"):
    command = ["account", *arguments, "--settings", str(settings(folder))]
    return CliRunner().invoke(cli, command, input=typed)


def kept(folder, name):
    store = open_store(f"sqlite:///{folder}/cases.db", folder / "files")
    found = account_of(store, name)
    store.engine.dispose()
    return found


def test_an_account_is_made_changed_and_removed_on_the_terminal(tmp_path):
    made = account(tmp_path, " M.Example", "--role", "plan")
    assert "Account m.example made. It may plan." in made.stdout
    assert PASSWORD not in made.output
    assert kept(tmp_path, "m.example").role is Role.PLAN
    assert is_right(PASSWORD, kept(tmp_path, "m.example").password_hash)
    assert "changed" in account(tmp_path, "m.example", "--role", "follow up").stdout
    assert kept(tmp_path, "m.example").role is Role.FOLLOW_UP
    assert "removed" in account(tmp_path, "m.example", "--remove").stdout
    assert kept(tmp_path, "m.example") is None
    assert "no account" in str(account(tmp_path, "m.example", "--remove").exception)


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("", PASSWORD, "has 1 to 40 letters"),
        ("a b", PASSWORD, "has 1 to 40 letters"),
        ("x" * 41, PASSWORD, "has 1 to 40 letters"),
        ("m.example", "short", "12 to 200 signs"),
        ("m.example", "x" * 201, "12 to 200 signs"),
    ],
)
def test_an_odd_name_or_password_makes_no_account(tmp_path, name, typed, sentence):
    done = account(tmp_path, name, typed=f"{typed}\n{typed}\n")
    assert sentence in str(done.exception)


def test_the_roles_of_the_command_line_are_those_of_the_store():
    assert [role.value for role in AccountRole] == [role.value for role in Role]


def test_the_same_password_has_two_hashes_and_nobody_has_one():
    assert hashed(PASSWORD) != hashed(PASSWORD)
    assert not is_right(PASSWORD, None)
    assert not is_right(PASSWORD, "no hash at all")
    assert not is_right(PASSWORD + " ", hashed(PASSWORD))
