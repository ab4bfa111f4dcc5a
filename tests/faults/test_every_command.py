"""Every command once, with 64 open files and no more: it ends well, and every number that it writes is one."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from hardship import SMALL_GRID
from promises import OUT, ask, broken, lay_out
from reliability import keeps
from seeds import MAIN, SEEDS, SHORT
from workbench.main import COMMANDS

resource = pytest.importorskip("resource")

GRID = SHORT + SMALL_GRID.replace("[15]", "[8]").replace("[30, 35]", "[16]").replace("[28, 33]", "[15]")
FEW: dict[str, tuple[str, ...]] = {
    "calibrate": (MAIN, "read.csv", "--out", OUT),
    "catalog": (),
    "check": ("full.toml",),
    "compare": (MAIN, "--out", OUT),
    "cruise": ("tally.csv", "--plot-acres", "0.1", "--age", "20", "--out", OUT),
    "init": ("--out", f"{OUT}/field.toml"),
    "layout": (MAIN, "--field", "outline.geojson", "--write-plan", f"{OUT}/plan.toml", "--out", OUT),
    "mark": ("stems.csv", "--leave-trees", "100", "--out", OUT),
    "odds": (MAIN, "--draws", "3", "--workers", "1", "--out", OUT),
    "optimize": ("grid.toml", "--workers", "1", "--out", OUT),
    "property": ("property.toml", "--out", OUT),
    "report": (MAIN, "--xlsx", "--out", OUT),
    "run": (MAIN, "--out", OUT),
    "stem": ("--dbh", "14", "--height", "75", "--buck"),
    "sweep": (MAIN, "factors.toml", "--workers", "1", "--out", OUT),
    "sensitivity": (OUT, "--no-break-even"),
    "value": ("flows.csv", "--rate", "0.05", "--rotation", "--out", OUT),
    "wait": ("st.toml", "--years", "1", "--draws", "100", "--out", OUT),
}
"""Each with as little to do as it can have; what is worked up by `sensitivity` the sweep before it has written."""
OF_A_FRESH_PROCESS = 3
"""Files that a process has open when it starts."""
ENOUGH = 64


@pytest.fixture(scope="module")
def few_files(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A folder with a file of every kind, and room for as many open files as a process of its own would have."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    with pytest.MonkeyPatch.context() as patched:
        patched.chdir(tmp_path_factory.mktemp("few"))
        lay_out(Path())
        for seed in SEEDS.values():
            Path(seed.name).write_text(seed.text, encoding="utf-8")
        Path("grid.toml").write_text(GRID, encoding="utf-8")
        open_now = len(list(Path("/dev/fd").iterdir())) - 1
        resource.setrlimit(resource.RLIMIT_NOFILE, (ENOUGH + open_now - OF_A_FRESH_PROCESS, hard))
        yield
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


def test_every_command_is_here_but_the_page() -> None:
    """Which is started with few files as a process, in test_full_disk.py."""
    assert FEW.keys() == COMMANDS.keys() - {"page"}


@keeps("Few files, little memory")
@pytest.mark.usefixtures("few_files")
@pytest.mark.parametrize("command", FEW)
def test_with_few_files_a_command_ends_well_and_writes_numbers(command: str) -> None:
    if command != "sensitivity":
        _clear()
    elif not Path(OUT, "manifest.json").exists():  # asked for alone
        ask(("sweep", *FEW["sweep"]))
    arguments = (command, *FEW[command])
    answer = ask(arguments)
    assert answer.code == 0, answer.stderr
    assert not broken(arguments, answer, "", None), answer
    assert not answer.written or OUT in FEW[command] or command == "init"
    assert answer.written or OUT not in FEW[command] or command == "sensitivity"


def _clear() -> None:
    shutil.rmtree(OUT, ignore_errors=True)
    Path(OUT).mkdir()
