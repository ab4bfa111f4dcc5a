"""The landowner's page as a real process, and a client that speaks to it as the open page does."""

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, NamedTuple

import httpx

from running import PACKAGES
from workbench.page.messages import TAKEN, Asked, json_reply

ROOT = Path(__file__).parents[1]
TOKEN = "X-Halfshade-Token"  # noqa: S105 - the name of a header
PATIENCE_S = 120.0
"""For one answer, on a machine that has other things to do."""


class Served(NamedTuple):
    """A page that runs.

    Attributes
    ----------
    process
        Of the server.
    client
        Sends the page's token with everything.
    said
        First line on standard error.
    """

    process: "subprocess.Popen[str]"
    client: httpx.Client
    said: str

    @property
    def start(self) -> dict[str, Any]:
        """What the page asks for first."""
        answer = self.client.get("/api/start")
        assert answer.status_code == 200, answer.text
        return dict(answer.json())

    @property
    def plan(self) -> dict[str, Any]:
        """The plan that the page opens with."""
        return dict(self.start["version"]["plan"])


@contextmanager
def served(*arguments: str, password: str = "", before: str = "") -> Iterator[Served]:
    """Start the page on a free port, and stop it as Ctrl-C does; ``before`` is Python that its process runs first."""
    program = ["-c", f"{before}\nfrom workbench.main import main\nmain()"] if before else ["-m", "workbench"]
    command = [sys.executable, "-P", *program, "page", "--port", "0", "--no-browser", *arguments]
    environment = {**os.environ, "PYTHONPATH": PACKAGES}  # what is tested, and not the folder of the clone
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, cwd=ROOT, env=environment)
    try:
        said = _address_line(process)
        found = re.search(r"http://\S+", said)
        assert found is not None, said
        auth = httpx.BasicAuth("owner", password) if password else None
        with httpx.Client(base_url=found[0].rstrip(","), timeout=PATIENCE_S, auth=auth, trust_env=False) as client:
            token = re.search(r'name="halfshade-token" content="([^"]+)"', client.get("/").text)
            assert token is not None
            client.headers[TOKEN] = token[1]
            yield Served(process, client, said)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        process.wait(timeout=30)
        if process.stderr is not None:
            process.stderr.close()


def _address_line(process: "subprocess.Popen[str]") -> str:
    assert process.stderr is not None
    for line in process.stderr:
        if "http://" in line:
            return line
    raise AssertionError("the page ended without saying where it is")


def family_of(process_id: int) -> set[int]:
    """Processes that a process started, and those that they started, as far as they live."""
    found: set[int] = set()
    tasks = Path(f"/proc/{process_id}/task")
    for task in tasks.iterdir() if tasks.is_dir() else ():
        children = (task / "children").read_text(encoding="ascii").split()
        for child in map(int, children):
            found |= {child} | family_of(child)
    return found


def command_of(process_id: int) -> str:
    """Command line of a process; empty where it is gone or waits to be buried."""
    try:
        return Path(f"/proc/{process_id}/cmdline").read_text(encoding="utf-8").replace("\0", " ")
    except OSError:
        return ""


def lives(process_id: int) -> bool:
    """Whether a process still runs; one that only waits to be buried does not."""
    try:
        said = Path(f"/proc/{process_id}/stat").read_text(encoding="utf-8")
    except OSError:
        return False
    return said.rpartition(")")[2].split()[0] not in {"Z", "X"}


def echo(connection: Connection) -> None:
    """Stand in for the computing process: says what it was asked, dies or dawdles when it is told to."""
    connection.recv()
    while True:
        asked: Asked = connection.recv()
        connection.send(TAKEN)
        if asked.what == "die":
            return
        if asked.what in {"dawdle", "first"}:
            time.sleep(float(asked.given or 1.0))
        connection.send(json_reply({"what": asked.what, "form": []}))


def gone(_: Connection) -> None:
    """Stand in for a computing process that ends as soon as it has started."""
