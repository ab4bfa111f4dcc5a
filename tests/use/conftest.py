"""The command line as a person runs it: in a process of its own, in an empty folder."""

import subprocess
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from running import run_halfshade


@pytest.fixture
def halfshade(tmp_path: Path) -> Callable[..., "subprocess.CompletedProcess[str]"]:
    """Run ``halfshade`` with some arguments in `tmp_path`; output is decoded as UTF-8."""
    return partial(run_halfshade, tmp_path)
