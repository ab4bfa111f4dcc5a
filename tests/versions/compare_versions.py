"""Ask the same of the lowest and of the newest libraries that Halfshade supports, and hold the answers together.

    python tests/versions/compare_versions.py [PYTHON ...]

For each Python named, the one that runs this unless told otherwise, it makes two environments in a temporary folder:
one with every dependency at its lower bound in pyproject.toml, one with what pip takes by itself. Both run
`answers.py` from this folder's sources; a number that differs by more than a billionth of itself, or anything else that
differs, is printed, and the exit code is 1. Needs a package index and about five minutes for each Python.
"""

import json
import os
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from nearness import apart
from packaging.requirements import Requirement

ROOT: Final = Path(__file__).resolve().parents[2]
CLOSE: Final = 1e-9
SHOWN: Final = 40
OF_THE_LIBRARIES: Final = ".sweep.libraries"
"""Where a manifest names the versions it was made with: that these differ is the point."""


def declared() -> list[Requirement]:
    """What pyproject.toml asks for."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        return [Requirement(line) for line in tomllib.load(file)["project"]["dependencies"]]


def lowest(requirements: Sequence[Requirement]) -> list[str]:
    """The same with every dependency held at its lower bound.

    Raises
    ------
    ValueError
        Where one has no lower bound, or several.
    """
    pinned = []
    for requirement in requirements:
        floors = [bound.version for bound in requirement.specifier if bound.operator == ">="]
        if len(floors) != 1:
            raise ValueError(f"{requirement}: needs one lower bound")
        pinned.append(f"{requirement.name}=={floors[0]}")
    return pinned


def environment(folder: Path, python: str, packages: Sequence[str]) -> str:
    """Make an environment with some packages; return its interpreter."""
    subprocess.run([python, "-m", "venv", str(folder)], check=True)
    inside = str(folder / ("Scripts" if os.name == "nt" else "bin") / "python")
    quiet = ["--quiet", "--disable-pip-version-check", "--only-binary", ":all:"]
    subprocess.run([inside, "-m", "pip", "install", *quiet, *packages], check=True)
    return inside


def answers(python: str) -> dict[str, Any]:
    """What the sources of this folder answer with the libraries of an interpreter."""
    done = subprocess.run(
        [python, "-P", str(Path(__file__).with_name("answers.py"))],
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"},
        stdout=subprocess.PIPE,
        encoding="utf-8",
        check=True,
    )
    return json.loads(done.stdout)


def compared(python: str) -> bool:
    """Ask both, print what differs; whether nothing does that should not."""
    with tempfile.TemporaryDirectory() as name:
        requirements = declared()
        ends = {"lowest": lowest(requirements), "newest": [str(requirement) for requirement in requirements]}
        said = {}
        for end, packages in ends.items():
            print(f"{python}, {end}: {', '.join(packages)}", flush=True)
            said[end] = answers(environment(Path(name) / end, python, packages))
    places = [place for place in apart(said["lowest"], said["newest"]) if not place.place.startswith(OF_THE_LIBRARIES)]
    far = [place for place in places if place.relative > CLOSE]
    widest = max((place.relative for place in places if place.relative <= CLOSE), default=0.0)
    print(f"{python}: {len(places)} numbers differ at all, by {widest:.1e} of themselves at most, {len(far)} too far")
    for place in far[:SHOWN]:
        print(f"  {place.place}: lowest {place.one}, newest {place.other} ({place.relative:.1e})")
    return not far


def main() -> None:
    """Compare for every Python named."""
    found = [compared(python) for python in sys.argv[1:] or [sys.executable]]
    sys.exit(0 if all(found) else 1)


if __name__ == "__main__":
    main()
