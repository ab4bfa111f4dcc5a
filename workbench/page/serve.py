"""Starts the page: computing process first, then the server, then the browser."""

import ipaddress
import json
import os
import secrets
import socket
import stat
import sys
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from simulator.errors import InputError, Problem
from simulator.named_files import Kind, text_of
from workbench.output import print_note
from workbench.page.messages import OK, Asked, Settings

if TYPE_CHECKING:
    from workbench.page.computing import Computing

DEFAULT_PORT: Final = 8421
LOOPBACK: Final = "127.0.0.1"
EVERY_ADDRESS: Final = ("0.0.0.0", "::")  # noqa: S104 - only with a password
LEAST_PASSWORD: Final = 12
PASSWORD_FILE: Final = Kind(10_000, "Check it.", "Check it.", "Check it.", "Check it.")
STOPPED_WORK_IS_TIDIED: Final = "ignore:resource_tracker"
"""What stopped work leaves behind is tidied up in the end, which is no warning to a person."""


class Place(NamedTuple):
    """Where the page is served.

    Attributes
    ----------
    address
        Of the machine; loopback unless told.
    port
        0 for any free one.
    asked
        Whether a person named the port: then no other is taken.
    password
        Empty on loopback.
    """

    address: str = LOOPBACK
    port: int = DEFAULT_PORT
    asked: bool = False
    password: str = ""


def password_for(address: str, file: Path | None) -> str:
    """The password that an address needs.

    Parameters
    ----------
    address
        Where the page will listen.
    file
        Holds the password on its first line.

    Returns
    -------
    str
        Empty on loopback without a file.

    Raises
    ------
    InputError
        Where another address comes without a password, or with too short a one.
    """
    if file is None:
        if is_loopback(address):
            return ""
        rule = "lets other machines in, so it needs a password"
        remedy = "Write a password into a file that only you can read and add --password-file FILE, or leave it out."
        raise InputError([Problem("--address", rule, address, remedy)])
    try:
        lines = text_of(file, PASSWORD_FILE).splitlines()
    except InputError as error:
        rules = [f"cannot be read: it {each.rule}" for each in error.problems]
        raise InputError([Problem("--password-file", rule, str(file), "Check it.") for rule in rules]) from error
    _warn_of_readers(file)
    password = lines[0].strip() if lines else ""
    if len(password) < LEAST_PASSWORD:
        rule = f"must hold a password of at least {LEAST_PASSWORD} characters on its first line"
        raise InputError([Problem("--password-file", rule, f"{len(password)} characters in {file}", "Make it longer.")])
    return password


def _warn_of_readers(file: Path) -> None:
    if os.name == "posix" and file.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        print_note(f"others on this machine can read {file}: take their rights to it away (chmod 600)")


def is_loopback(address: str) -> bool:
    """Whether only this machine can reach an address."""
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return address == "localhost"


def serve(file: Path | None, place: Place, *, browser: bool) -> None:
    """Serve the page until it is stopped with Ctrl-C.

    Parameters
    ----------
    file
        Scenario to open with; None for the packaged example.
    place
        Where.
    browser
        Whether to open one.

    Raises
    ------
    InputError
        Where the file has problems or the place cannot be had.
    """
    listening = listen(place)
    from workbench.page.computing import Computing  # noqa: PLC0415 - the place is checked before anything is started

    os.environ.setdefault("PYTHONWARNINGS", STOPPED_WORK_IS_TIDIED)
    computing = Computing(Settings(file))
    computing.start()
    try:
        from workbench.page.app import application  # noqa: PLC0415 - while the computing process imports its own
        from workbench.page.connection import serve_on  # noqa: PLC0415
        from workbench.page.guard import Rules  # noqa: PLC0415

        if file is not None:
            computing.tell(Settings(file, _own_table(computing)))
        port = int(listening.getsockname()[1])
        local = is_loopback(place.address)
        rules = Rules(port, secrets.token_urlsafe(32), "" if local else place.address, place.password)
        app = application(rules, computing, _announcing(place.address, port, browser=browser))
        serve_on(listening, app)
    finally:
        computing.stop()
        listening.close()


def _own_table(computing: "Computing") -> str | None:
    reply = computing.ask_now(Asked("file"))
    if reply.status != OK:
        raise InputError([Problem(**problem) for problem in json.loads(reply.body)["problems"]])
    return reply.body.decode() or None


def listen(place: Place) -> socket.socket:
    """Take a port.

    Parameters
    ----------
    place
        Where; a port that nobody asked for is replaced by a free one where it is taken.

    Returns
    -------
    socket.socket
        Bound, and listening once the server runs.

    Raises
    ------
    InputError
        Where the address or a port asked for cannot be had.
    """
    try:
        return _bound(place.address, place.port)
    except OSError as error:
        taken = not place.asked and is_loopback(place.address)
        if not taken:
            reason = (error.strerror or str(error)).lower()
            remedy = "Name another --port, or 0 for any free one."
            where = f"{place.address}:{place.port}"
            raise InputError([Problem("--port", f"cannot be had: {reason}", where, remedy)]) from error
    found = _bound(place.address, 0)
    print_note(f"port {place.port} is in use; this page takes port {found.getsockname()[1]}")
    return found


def _bound(address: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    found = socket.socket(family, socket.SOCK_STREAM)
    try:
        if sys.platform != "win32":  # there it would let two programs share a port
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((address, port))
        found.listen()  # at once, so that nobody else takes the port and a quick browser waits
    except BaseException:
        found.close()
        raise
    return found


def _announcing(address: str, port: int, *, browser: bool) -> Callable[[], None]:
    everywhere = address in EVERY_ADDRESS
    name = LOOPBACK if everywhere else f"[{address}]" if ":" in address else address
    here, also = (
        f"http://{name}:{port}/",
        f", and at port {port} of every address of this machine" if everywhere else "",
    )

    def announce() -> None:
        print_note(f"the page is at {here}{also} (Ctrl-C stops it)")
        if browser:  # some browsers return only when they are closed
            threading.Thread(target=_open_browser, args=(here,), daemon=True).start()

    return announce


def _open_browser(address: str) -> None:
    if not webbrowser.open(address):
        print_note("no browser could be opened: open that address yourself")
