"""The command line as a person runs it: in a process of its own, in an empty folder."""

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

import workbench

PACKAGES = str(Path(workbench.__file__).parents[1])


@pytest.fixture
def halfshade(tmp_path: Path) -> Callable[..., "subprocess.CompletedProcess[str]"]:
    """Run ``halfshade`` with some arguments in `tmp_path`; output is decoded as UTF-8."""

    def run(
        *arguments: str | Path, environment: Mapping[str, str] | None = None, timeout: float = 300.0
    ) -> "subprocess.CompletedProcess[str]":
        command = [sys.executable, "-m", "workbench", *map(str, arguments)]
        variables = {**os.environ, "PYTHONPATH": PACKAGES, "PYTHONUTF8": "1", **(environment or {})}
        return subprocess.run(
            command,
            cwd=tmp_path,
            env=variables,
            capture_output=True,
            encoding="utf-8",
            timeout=timeout,
            check=False,
            stdin=subprocess.DEVNULL,
        )

    return run


@pytest.fixture(autouse=True)
def _drawn_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reports made inside a test draw their charts themselves: the processors have tests to run."""
    monkeypatch.setattr("workbench.painting.cores", lambda: 1)
