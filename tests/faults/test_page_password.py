"""A page for other machines, and other people on this one."""

import base64
import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NoReturn

import pytest

from besieging import Besieger
from paging import ROOT, served
from running import PACKAGES
from workbench.page import neighbours
from workbench.page.neighbours import NOBODY, is_anothers, user_of

WORD = "a long green meadow"
ANOTHER = 65534
"""A user who owns nothing, by the number that systems give to *nobody*."""
TABLE = """  sl  local_address rem_address   st tx_queue rx_queue tr tm->when retrnsmt   uid  timeout inode
   0: 0100007F:20E5 00000000:0000 0A 00000000:00000000 00:00000000 00000000  1000        0 4711 1 0 100 0 0 10 0
   1: 0100007F:896E 0100007F:20E5 01 00000000:00000000 00:00000000 00000000  1001        0 4712 2 0 20 0 0 10 -1
   2: 0100007F:20E5 0100007F:896E 01 00000000:00000000 00:00000000 00000000  1000        0 4713 1 0 20 0 0 10 -1
   3: 0100007F:896F 0100007F:20E5 05 00000000:00000000 03:0000170C 00000000     0        0 0 3 0
"""
"""As Linux writes it (manual page proc_pid_net(5)), port 8421 being 20E5; users and numbers invented."""


def _authorization(word: str) -> str:
    return "Authorization: Basic " + base64.b64encode(f"owner:{word}".encode()).decode()


def _password_file(tmp_path: Path, mode: int = 0o600) -> Path:
    file = tmp_path / "word"
    file.write_text(f"{WORD}\n", encoding="utf-8")
    file.chmod(mode)
    return file


# Password


def test_guesses_wait_for_one_another_and_the_right_word_is_let_in(tmp_path: Path) -> None:
    """Two a second from everybody together: who asks on twenty connections at once gains nothing."""
    with served("--password-file", str(_password_file(tmp_path)), password=WORD) as page:
        siege = Besieger(page)
        begun = time.monotonic()
        with ThreadPoolExecutor(6) as pool:
            wrong = list(pool.map(lambda guess: siege.asks("GET /", _authorization(f"guess {guess}")), range(6)))
        assert {answer.status for answer in wrong} == {401}
        assert time.monotonic() - begun >= 6 * 0.5
        assert siege.asks("GET /palette.css", _authorization(WORD)).status == 200
        for odd in ("Basic", "Basic =", "Basic " + "A" * 50_000, "Bearer x", "Basic w7w=", f"Digest {WORD}"):
            assert siege.asks("GET /", f"Authorization: {odd}").status == 401, odd
        assert siege.asks("GET /", _authorization(WORD), _authorization("x")).status == 400
        asked = siege.asks("GET /")
        assert asked.status == 401
        assert WORD.encode() not in asked.body
        assert asked.seconds < 5.0
        assert siege.asks("GET /static/js/main.js").status == 401


@pytest.mark.parametrize(("mode", "told"), [(0o644, True), (0o660, True), (0o600, False), (0o400, False)], ids=oct)
def test_a_password_file_that_others_can_read_is_told(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    mode: int,
    told: bool,  # noqa: FBT001 - of the test
) -> None:
    from workbench.page.serve import password_for  # noqa: PLC0415 - sockets

    file = _password_file(tmp_path, mode)
    if os.name == "posix":
        assert password_for("127.0.0.1", file) == WORD
        assert ("others on this machine can read" in capsys.readouterr().err) == told


# Other users of this machine


def test_the_user_at_the_other_end_is_read_from_the_systems_table(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = tmp_path / "tcp"
    table.write_text(TABLE, encoding="ascii")
    monkeypatch.setattr(neighbours, "TABLES", {4: table, 6: tmp_path / "none"})
    monkeypatch.setattr(neighbours.sys, "byteorder", "little")  # the table above is from such a machine
    page = ("127.0.0.1", 8421)
    assert user_of(("127.0.0.1", 0x896E), page) == 1001
    assert user_of(("127.0.0.1", 0x896F), page) == NOBODY  # its program let go of it
    assert user_of(("127.0.0.1", 1), page) is None
    assert user_of(("::1", 1), ("::1", 8421)) is None
    for owner, anothers in ((1001, False), (1000, True), (0, True)):
        monkeypatch.setattr(neighbours.os, "getuid", lambda owner=owner: owner)
        assert is_anothers(("127.0.0.1", 0x896E), page) == anothers
    monkeypatch.setenv("SUDO_UID", "1001")
    assert not is_anothers(("127.0.0.1", 0x896E), page)
    assert is_anothers(("127.0.0.1", 0x896F), page)
    assert not is_anothers(None, page)


def test_this_machines_own_table_is_understood(absent: Callable[[str], NoReturn]) -> None:
    if not neighbours.TABLES[4].is_file():
        absent("there is no /proc here that tells who holds a connection")
    with socket.create_server(("127.0.0.1", 0)) as server, socket.create_connection(server.getsockname()) as client:
        assert user_of(client.getsockname(), server.getsockname()) == os.getuid()


OTHER_OWNER = f"import os\nos.getuid = lambda: {ANOTHER}\n"
"""A page that takes itself for another user's."""
AS_ANOTHER = """
import os, socket, sys
host, port, me = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
if os.getuid() == 0:
    os.setuid(me)
raw = socket.socket()
raw.connect(("127.0.0.1", port))
raw.sendall(f"GET / HTTP/1.1\\r\\nHost: {host}\\r\\nConnection: close\\r\\n\\r\\n".encode())
sys.stdout.write(b''.join(iter(lambda: raw.recv(4096), b'')).decode())
"""


def test_another_user_of_this_machine_is_turned_away(absent: Callable[[str], NoReturn]) -> None:
    """The administrator asks as somebody else; anybody else asks a page that takes itself for somebody else's."""
    if not neighbours.TABLES[4].is_file():
        absent("there is no /proc here that tells who holds a connection")
    if os.getuid() == 0:
        with served() as page:
            siege = Besieger(page)
            command = [sys.executable, "-c", AS_ANOTHER, siege.host, str(siege.port), str(ANOTHER)]
            said = subprocess.run(command, capture_output=True, text=True, timeout=60, check=True, cwd=ROOT).stdout
            assert siege.asks("GET /").status == 200
    else:
        said = _of_a_foreign_page()
    assert said.startswith("HTTP/1.1 403")
    assert "another user" in said


def _of_a_foreign_page() -> str:
    program = f"{OTHER_OWNER}from workbench.main import main\nmain()"
    command = [sys.executable, "-P", "-c", program, "page", "--port", "0", "--no-browser"]
    environment = {**os.environ, "PYTHONPATH": PACKAGES}
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment) as process:
        assert process.stderr is not None
        try:
            port = (
                next(line for line in process.stderr if "http://" in line).partition("127.0.0.1:")[2].partition("/")[0]
            )
            asking = [sys.executable, "-c", AS_ANOTHER, f"127.0.0.1:{port}", port, "0"]
            return subprocess.run(asking, capture_output=True, text=True, timeout=60, check=True, cwd=ROOT).stdout
        finally:
            process.terminate()


def test_a_page_with_a_password_asks_nobody_who_they_are(tmp_path: Path, absent: Callable[[str], NoReturn]) -> None:
    if not neighbours.TABLES[4].is_file():
        absent("there is no /proc here that tells who holds a connection")
    with served("--password-file", str(_password_file(tmp_path)), password=WORD, before=OTHER_OWNER) as page:
        assert Besieger(page).asks("GET /", _authorization(WORD)).status == 200
