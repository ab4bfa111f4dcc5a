"""The command line in hard circumstances: a process that is given a few lines to run before it starts."""

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from running import PACKAGES

FLOWS: Final = "year,amount\n0,-310\n15,332\n30,2455\n"
SMALL_GRID: Final = """
[search]
most_thinnings = 1
first_thinning_years = [15]
first_residuals_trees_per_ac = [100, 130]
harvest_years = [30, 35]
hay_until_years = [3]
first_grazing_years = [5]
pasture_nitrogen_lb_ac = [80]
[baseline.plantation.search]
most_thinnings = 1
first_thinning_years = [15]
first_residuals_trees_per_ac = [250]
harvest_years = [28, 33]
"""
"""A search that is over in seconds, to be added to a scenario."""
AS_A_TERMINAL: Final = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
if hasattr(signal, "SIGHUP"):
    signal.signal(signal.SIGHUP, signal.SIG_DFL)
"""
"""Signals as a terminal starts a command: whoever runs these tests in the background may have some ignored."""
AT_STEP: Final = """
import os, signal, sys
steps = [0]
def count(event, args):
    path = args[0] if args else ""
    changes = event in {{"os.mkdir", "os.rename", "os.remove"}} or (event == "open" and "x" in str(args[1] or ""))
    if changes and isinstance(path, str | os.PathLike) and {among!r} in os.fspath(path):
        steps[0] += 1
        if steps[0] == {step}:
            os.kill(os.getpid(), signal.{what})
sys.addaudithook(count)
"""
"""Send a signal to itself just before the given change of the file system, counted among paths with a text in them."""


def at_step(step: int, what: str = "SIGKILL", among: str = "out") -> str:
    """Lines that send this process a signal just before its nth change of the file system."""
    return AT_STEP.format(step=step, what=what, among=among)


def command(*arguments: str | Path, before: str = "") -> list[str]:
    """The command line, after a few lines of Python that make its circumstances hard."""
    if not before:
        return [sys.executable, "-m", "workbench", *map(str, arguments)]
    body = f"{AS_A_TERMINAL}{before}\nfrom workbench.main import main\nmain()"
    # -P as an installed command has no current folder to import from; 3.13.0 cannot import from one that was deleted
    return [sys.executable, "-P", "-c", body, *map(str, arguments)]


def surroundings(changes: Mapping[str, str | None] | None = None) -> dict[str, str]:
    """The environment of the tests with the packages under test; None takes a variable out."""
    found = {**os.environ, "PYTHONPATH": PACKAGES, **(changes or {})}
    return {name: value for name, value in found.items() if value is not None}


def done(
    folder: Path,
    *arguments: str | Path,
    before: str = "",
    environment: Mapping[str, str | None] | None = None,
    timeout: float = 240.0,
) -> "subprocess.CompletedProcess[bytes]":
    """Run a command in a folder to its end.

    Parameters
    ----------
    folder
        The current folder.
    arguments
        Of ``halfshade``.
    before
        Lines of Python run first.
    environment
        Variables changed.
    timeout
        After which it hangs [s].
    """
    return subprocess.run(
        command(*arguments, before=before),
        cwd=folder,
        env=surroundings(environment),
        capture_output=True,
        timeout=timeout,
        check=False,
        stdin=subprocess.DEVNULL,
    )


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder by its name; empty where there is no such folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def said(finished: "subprocess.CompletedProcess[bytes]") -> str:
    """What it said on standard error, which is never a traceback."""
    words = finished.stderr.decode("utf-8", "replace")
    assert "Traceback" not in words, words
    return words
