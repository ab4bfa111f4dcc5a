"""Ask everything with other numbers of workers and threads and other hash seeds: every byte has to be the same.

    python -P tests/versions/compare_environments.py

Takes about five minutes on two cores; the plain tests ask a share of it.
"""

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final, NamedTuple

PACKAGES: Final = Path(__file__).resolve().parents[2]


class Setting(NamedTuple):
    """How a process is started: its workers, threads of its linear algebra, and the seed of its hashes."""

    workers: int
    threads: int
    hash_seed: str


SETTINGS: Final = (
    Setting(1, 1, "0"),
    Setting(2, 4, "1"),
    Setting(3, 2, "4294967295"),
    Setting(1, 4, "random"),
)


def answer(setting: Setting, words: Sequence[str] = (), packages: Path = PACKAGES) -> str:
    """What `answers.py` prints in a process so started."""
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), str(setting.threads))
    settings = {"PYTHONHASHSEED": setting.hash_seed, "PYTHONPATH": str(packages), "PYTHONUTF8": "1", **threads}
    done = subprocess.run(
        [sys.executable, "-P", str(Path(__file__).with_name("answers.py")), str(setting.workers), *words],
        env={**os.environ, **settings},
        stdout=subprocess.PIPE,
        encoding="utf-8",
        check=True,
    )
    return done.stdout


def main() -> None:
    """Compare all."""
    first = answer(SETTINGS[0])
    same = True
    for setting in SETTINGS[1:]:
        found = answer(setting) == first
        same = same and found
        print(f"{setting} against {SETTINGS[0]}: {'the same bytes' if found else 'NOT the same'}", flush=True)
    sys.exit(0 if same else 1)


if __name__ == "__main__":
    main()
