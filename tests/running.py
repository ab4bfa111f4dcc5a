"""The command line as a person runs it: in a process of its own."""

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import workbench

PACKAGES = str(Path(workbench.__file__).parents[1])


def run_halfshade(
    folder: Path, *arguments: str | Path, environment: Mapping[str, str] | None = None, timeout: float = 300.0
) -> "subprocess.CompletedProcess[str]":
    """Run ``halfshade`` with some arguments in a folder; output is decoded as UTF-8."""
    return subprocess.run(
        [sys.executable, "-m", "workbench", *map(str, arguments)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": PACKAGES, "PYTHONUTF8": "1", **(environment or {})},
        capture_output=True,
        encoding="utf-8",
        timeout=timeout,
        check=False,
        stdin=subprocess.DEVNULL,
    )
