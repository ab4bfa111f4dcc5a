"""Whole commands as a person types them, each beside the import of numpy alone; papers beside the comparison."""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import numpy as np

import workbench
from benchmarks.figures import Figure, Said, figure
from benchmarks.stopwatch import paired, rounds
from fields import FEET, collection, feature

PATIENCE_S: Final = 120
TURNS: Final = 3
IMPORT: Final = ("-c", "import numpy")
NUMPY: Final = '`python -c "import numpy"`'
COMPARISON: Final = "`halfshade compare`"
ACRES, HOLES = 500.0, 10
COMMANDS: Final = {
    "help": ("-m", "workbench", "--help"),
    "imports": ("-c", "from simulator import compare"),
    "run": ("-m", "workbench", "run"),
    "compare": ("-m", "workbench", "compare"),
    "layout": ("-m", "workbench", "layout", "--field", "field.geojson", "--crs", FEET, "--json"),
    "report": ("-m", "workbench", "report", "--no-pdf", "--out", "page"),
    "pdf": ("-m", "workbench", "report", "--pdf", "--out", "print"),
}
QUICK: Final = ("help",)
SAID: Final = (
    (Said("help", "`halfshade --help`", NUMPY, 2.0, 0.4), "numpy"),
    (Said("imports", "`from simulator import compare`", NUMPY), "numpy"),
    (Said("run", "`halfshade run`: 40 years of one plan", NUMPY), "numpy"),
    (Said("compare", "`halfshade compare`: three systems and what moves them", NUMPY, None, 4.0), "numpy"),
    (Said("layout", "`halfshade layout`: rows on 500 acres with ten ponds", NUMPY, None, 2.0), "numpy"),
    (Said("report", "`halfshade report`: the page", COMPARISON, 2.8, 4.0), "compare"),
    (Said("pdf", "`halfshade report --pdf`: page and print", COMPARISON, 5.4, 8.0), "compare"),
)


def large_field() -> str:
    """A lobed outline of 500 acres with 200 corners and ten ponds, as GeoJSON."""
    angle = np.linspace(0.0, 2.0 * np.pi, 201)
    reach = 1.0 + 0.08 * np.sin(3 * angle) + 0.03 * np.cos(7 * angle)
    outline = np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])
    x, y = outline[:-1].T
    area = 0.5 * abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
    rings = [outline * np.sqrt(ACRES * 43560.0 / area)]
    round_ = np.linspace(0.0, 2.0 * np.pi, 41)
    for k in range(HOLES):
        middle = (300.0 + 180.0 * k) * np.array([np.cos(0.6 * k), np.sin(0.6 * k)])
        rings.append(middle + np.column_stack([120.0 * np.cos(round_), 80.0 * np.sin(round_)]))
    return collection(feature([ring.tolist() for ring in rings]))


def whole_processes(quick: bool) -> Iterator[Figure]:  # noqa: FBT001 - every benchmark is asked this one question
    """Processor time of whole processes, from the shell to their end."""
    with TemporaryDirectory() as folder:
        (Path(folder) / "field.geojson").write_text(large_field(), encoding="utf-8")
        chosen = {name: _process(Path(folder), *COMMANDS[name]) for name in (QUICK if quick else COMMANDS)}
        works = {"numpy": _process(Path(folder), *IMPORT), **chosen}
        for work in works.values():
            work()  # what is compiled and read once is no part of it
        turns = 1 if quick else TURNS
        taken = rounds(works, turns)
    yield from (
        figure(said, paired(taken[said.name], taken[beside]), turns) for said, beside in SAID if said.name in taken
    )


def _process(folder: Path, *arguments: str) -> Callable[[], None]:
    # compiled once and kept, as where it was installed, whatever this environment says of it
    compiled = {"PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    variables = {**os.environ, **compiled, "PYTHONPATH": str(Path(workbench.__file__).parents[1])}

    def done() -> None:
        command = [sys.executable, *arguments]
        subprocess.run(
            command,
            cwd=folder,
            env=variables,
            capture_output=True,
            stdin=subprocess.DEVNULL,
            check=True,
            timeout=PATIENCE_S,
        )

    return done
