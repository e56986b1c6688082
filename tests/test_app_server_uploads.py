"""Three gigabytes are really sent to a server that really runs: refused, and nothing stays."""

import json
import re
import socket
import subprocess
import sys
from http.client import HTTPConnection
from pathlib import Path

import factory
import pytest

from crena.app.case_files import CASES
from crena.app.server.guards import MOST_BYTES
from crena.imaging import MAX_FILE_BYTES

MIB = 2**20
THREE_GIGABYTES = 3 * 2**30
SLACK_BYTES = 32 * MIB
"""A server that held one file in its memory would grow by 64 MiB."""

SOON_S = 120
DICOM = bytes(128) + b"DICM"


class Running:
    """A server in a process of its own, and whoever stands before it."""

    def __init__(self, data):
        """Serve an empty folder of cases."""
        self.files = data / "files"
        command = [sys.executable, "-m", "crena", "serve", "--data", str(data), "--port", "0"]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        address = self.process.stdout.readline().split()[-1]
        self.port, self._token = re.search(r":([0-9]+)/enter/(.+)$", address).groups()
        self.path = self._made_case()

    def close(self):
        """Stop the server."""
        self.process.terminate()
        self.process.wait()
        self.process.stdout.close()

    def most_bytes(self):
        """Return the most memory that the process ever held."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(r"VmHWM:\s+([0-9]+) kB", status)[1]) * 1024

    def left(self):
        """Return what lies on the disk of all that was sent."""
        return [place for place in self.files.rglob("*") if place.is_file()]

    def headers(self, **more):
        """Return what every request carries."""
        return {"Host": f"127.0.0.1:{self.port}", "Cookie": f"crena={self._token}", **more}

    def _made_case(self):
        asked = HTTPConnection("127.0.0.1", int(self.port), timeout=SOON_S)
        case = json.dumps(CASES.dump_python(factory.case(), mode="json"))
        kind = {"Content-Type": "application/json"}
        asked.request("POST", "/api/cases", case, self.headers(**kind))
        made = json.loads(asked.getresponse().read())
        asked.close()
        return f"/api/cases/{made['case_id']}"


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    made = Running(tmp_path_factory.mktemp("served"))
    yield made
    made.close()


def sent(server, request, parts, **headers):
    """Send parts until the server will not have more; return status, sentence, bytes sent."""
    lines = "".join(f"{name}: {value}\r\n" for name, value in server.headers(**headers).items())
    count = 0
    with socket.create_connection(("127.0.0.1", int(server.port)), timeout=SOON_S) as line:
        try:
            line.sendall(f"{request} HTTP/1.1\r\n{lines}\r\n".encode())
            for part in parts:
                line.sendall(part)
                count += len(part)
        except (BrokenPipeError, ConnectionResetError):
            pass
        answer = received(line)
    status, rest = re.match(rb"HTTP/1.1 ([0-9]+) .*?\r\n\r\n(.*)", answer, re.DOTALL).groups()
    told, _ = json.JSONDecoder().raw_decode(rest.decode())
    return int(status), told["detail"], count


def received(line):
    """Read until the server closes the connection."""
    parts = []
    try:
        while part := line.recv(2**16):
            parts.append(part)
    except ConnectionResetError:
        pass
    return b"".join(parts)


def pieces(start, total=THREE_GIGABYTES, wrap=lambda piece: piece):
    """Give so many bytes, a mebibyte at a time."""
    yield wrap(start + bytes(MIB - len(start)))
    piece = wrap(bytes(MIB))
    for _ in range(total // MIB - 1):
        yield piece


def in_chunks(piece):
    return b"%x\r\n%b\r\n" % (len(piece), piece)


def refused(server, answer, status, sentence):
    """Check an answer, and that the server neither kept nor took in what was sent."""
    assert answer[:2] == (status, sentence)
    assert answer[2] < THREE_GIGABYTES
    assert server.left() == []


@pytest.mark.slow
def test_three_gigabytes_without_a_length_are_refused_after_the_cap(server):
    before = server.most_bytes()
    parts = pieces(DICOM, wrap=in_chunks)
    request, chunked = f"PUT {server.path}/scan/files", {"Transfer-Encoding": "chunked"}
    answer = sent(server, request, parts, **chunked)
    refused(server, answer, 422, "The file is larger than 64 MiB.")
    assert answer[2] > MAX_FILE_BYTES
    assert server.most_bytes() - before < SLACK_BYTES


@pytest.mark.slow
def test_three_gigabytes_that_say_so_are_refused_unread(server):
    before = server.most_bytes()
    request, length = f"PUT {server.path}/scan/files", {"Content-Length": THREE_GIGABYTES}
    answer = sent(server, request, pieces(DICOM), **length)
    refused(server, answer, 413, "More than 68 MB are not taken here.")
    assert server.most_bytes() - before < SLACK_BYTES


@pytest.mark.slow
@pytest.mark.parametrize(
    ("length", "sentence"),
    [(1000, "The file has no identifier"), (MAX_FILE_BYTES, "a header of more than 4 MiB")],
)
def test_three_gigabytes_that_say_they_are_less_are_cut_where_they_said(server, length, sentence):
    before = server.most_bytes()
    request, headers = f"PUT {server.path}/scan/files", {"Content-Length": length}
    status, told, count = sent(server, request, pieces(DICOM), **headers)
    assert status == 422 and sentence in told
    assert count < THREE_GIGABYTES and server.left() == []
    assert server.most_bytes() - before < SLACK_BYTES


@pytest.mark.slow
def test_an_ordinary_body_without_a_length_is_refused_after_five_megabytes(server):
    before = server.most_bytes()
    parts = pieces(b'{"label": "', wrap=in_chunks)
    headers = {"Transfer-Encoding": "chunked", "Content-Type": "application/json"}
    answer = sent(server, "POST /api/cases", parts, **headers)
    refused(server, answer, 413, "More than 5 MB are not taken here.")
    assert answer[2] > MOST_BYTES
    assert server.most_bytes() - before < SLACK_BYTES


def test_an_upload_that_breaks_off_leaves_nothing(server):
    request, headers = f"PUT {server.path}/scan/files", {"Content-Length": 5 * MIB}
    head = "".join(f"{name}: {value}\r\n" for name, value in server.headers(**headers).items())
    with socket.create_connection(("127.0.0.1", int(server.port)), timeout=SOON_S) as line:
        line.sendall(f"{request} HTTP/1.1\r\n{head}\r\n".encode() + DICOM)
    asked = HTTPConnection("127.0.0.1", int(server.port), timeout=SOON_S)
    for _ in range(200):
        asked.request("GET", "/api/cases", headers=server.headers())
        asked.getresponse().read()
        if not server.left():
            break
    asked.close()
    assert server.left() == []
