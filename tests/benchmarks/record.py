"""What a whole run of the benchmarks leaves behind: one line of a history, without clock, host name or path."""

import platform
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import numpy as np
from pydantic import Field

from benchmarks.figures import Curve, Figure, Kept
from optimize.processes import cores
from optimize.whole_files import write_atomically

ROOT: Final = Path(__file__).parents[2]
HISTORY: Final = Path(__file__).with_name("history.jsonl")
CODE: Final = ("simulator", "optimize", "workbench", "price_tables", "pyproject.toml", "tests/benchmarks/*.py")
"""What a time depends on; a record says whether any of it differed from its commit."""


class Record(Kept):
    """One run of all benchmarks.

    Its date is that of the commit that was measured: two runs of one commit are told apart by their times alone.
    """

    commit: str | None = Field(pattern=r"^[0-9a-f]{40,64}$", description="null where there is no history of versions")
    committed: str | None = Field(pattern=r"^\d{4}-\d\d-\d\d$", description="day of that commit")
    changed: bool = Field(description="whether code differed from that commit")
    python: str
    numpy: str
    system: str = Field(description="kind of system and processor, nothing of whose it is")
    cores: int = Field(ge=1, description="that the run might use")
    figures: tuple[Figure, ...] = Field(strict=False)
    curves: tuple[Curve, ...] = Field(strict=False)
    lacking: tuple[str, ...] = Field(default=(), strict=False, description="what could not be measured, and why")

    @property
    def missed(self) -> list[str]:
        """Names of what does not keep what is asked of it."""
        figures = [each.name for each in self.figures if not each.held]
        return figures + [each.name for each in self.curves if not each.held]


def record_of(found: Sequence[Figure | Curve], lacking: Sequence[str]) -> Record:
    """A record of what was measured in this process."""
    head = _git("log", "-1", "--format=%H %cs")
    commit, _, day = head.partition(" ") if head else (None, None, None)
    return Record(
        commit=commit,
        committed=day,
        changed=commit is not None and _git("status", "--porcelain", "--", *CODE) != "",
        python=platform.python_version(),
        numpy=np.__version__,
        system=f"{platform.system()}, {platform.machine()}",
        cores=cores(),
        figures=tuple(each for each in found if isinstance(each, Figure)),
        curves=tuple(each for each in found if isinstance(each, Curve)),
        lacking=tuple(lacking),
    )


def history(path: Path = HISTORY) -> list[Record]:
    """Every record, oldest first."""
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    return [Record.model_validate_json(line) for line in lines]


def append(record: Record, path: Path = HISTORY) -> None:
    """Add a record; a reader finds the old history or the new one."""
    before = path.read_text(encoding="utf-8") if path.exists() else ""
    write_atomically(path, f"{before}{record.model_dump_json()}\n")


def _git(*arguments: str) -> str | None:
    """What git says of this folder; None where there is no git, or no repository."""
    program = shutil.which("git")
    if program is None:
        return None
    done = subprocess.run([program, *arguments], cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
    return done.stdout.strip() if done.returncode == 0 else None
