"""Python run as the documents run it, with the packages that are imported here."""

import os
import subprocess
import sys
from pathlib import Path

import workbench

PACKAGES = str(Path(workbench.__file__).parents[1])
LONGEST_S = 600


def run(*arguments: str, folder: Path) -> "subprocess.CompletedProcess[str]":
    """Run Python with some arguments in a folder, and wait for it.

    Parameters
    ----------
    arguments
        As after ``python``.
    folder
        Where it runs.

    Returns
    -------
    CompletedProcess
        Output decoded as UTF-8.
    """
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": PACKAGES, "PYTHONUTF8": "1", "MPLBACKEND": "agg"},
        capture_output=True,
        encoding="utf-8",
        timeout=LONGEST_S,
        check=False,
        stdin=subprocess.DEVNULL,
    )
