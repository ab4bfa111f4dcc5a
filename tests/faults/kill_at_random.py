"""The long run of docs/reliability.md: kill commands at many moments, and look at what is left of their files.

python -P tests/faults/kill_at_random.py --moments 50 --seed 1 [COMMAND ...]

Half of the moments are drawn in time, over the length of an undisturbed run, half among the steps of writing. Each
command is first run to its end twice, with other numbers the second time, so that every file has an old and a new
content; before each kill the old files are put back, after it each file must be one or the other (leave the code alone
meanwhile: its hash stands in the files). Leftovers of killed runs stay where they are, and a last undisturbed run must
give the new files. A killed sweep is gone on with.
"""

import argparse
import importlib
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final, NamedTuple, NoReturn

ROOT: Final = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT)]

from hardship import SMALL_GRID, at_step, contents  # noqa: E402 - a script finds the tests' helpers itself
from sweeping import ALLEY, factors_text  # noqa: E402
from workbench.examples import example_text, stand_example_text  # noqa: E402
from workbench.main import COMMANDS as ALL_COMMANDS  # noqa: E402
from workbench.main import main as command_line  # noqa: E402

OUTLINE: Final = ROOT / "workbench" / "scenarios" / "north-field.geojson"
PLOTS: Final = "plot,species,dbh_in,height_ft,code\n1,loblolly,8.0,50,\n1,loblolly,{dbh},55,\n2,loblolly,9.0,53,\n"
FEW_PLANS: Final = "import optimize.sweeps.job\noptimize.sweeps.job.PLANS_IN_A_TASK = 2\n"
"""A sweep of parts so small that many are written."""


LOADED_FIRST: Final = (
    "optimize.best",
    "optimize.risk.odds",
    "optimize.sweeps.run",
    "simulator.ground",
    "workbench.charts",
    "workbench.odds_files",
    "workbench.optimum_files",
    "workbench.report.document",
    "workbench.report.gather",
    "workbench.waiting_files",
)


class Command(NamedTuple):
    """A command that is killed: its words, with a place for what differs between old and new, and both of these."""

    words: tuple[str, ...]
    old: str
    new: str
    before: str = ""


COMMANDS: Final = {
    "sweep": Command(("sweep", "field.toml", "factors.toml", "--workers", "1"), "", "", FEW_PLANS),
    "odds": Command(("odds", "field.toml", "--draws", "3", "--workers", "1", "--seed", "{}"), "1", "2"),
    "report": Command(("report", "{}.toml", "--no-pdf"), "field", "other"),
    "optimize": Command(("optimize", "grid-{}.toml", "--workers", "2"), "field", "other"),
    "layout": Command(("layout", "{}.toml", "--field", str(OUTLINE)), "field", "other"),
    "wait": Command(("wait", "stand-{}.toml",), "field", "other"),
    "cruise": Command(("cruise", "plots-{}.csv", "--plot-acres", "0.1"), "field", "other"),
}  # fmt: skip


def prepare(folder: Path) -> None:
    """Write the files that the commands read, each in two editions."""
    text, stand = example_text(), stand_example_text()
    for name, rate in (("field", "0.05"), ("other", "0.06")):
        mine = text.replace("discount_rate = 0.05", f"discount_rate = {rate}")
        mine = mine if name == "field" else mine.replace("alley_ft = 42", "alley_ft = 50")
        (folder / f"{name}.toml").write_text(mine, encoding="utf-8")
        (folder / f"grid-{name}.toml").write_text(mine + SMALL_GRID, encoding="utf-8")
        theirs = stand.replace("discount_rate = 0.05", f"discount_rate = {rate}")
        (folder / f"stand-{name}.toml").write_text(theirs, encoding="utf-8")
        (folder / f"plots-{name}.csv").write_text(PLOTS.format(dbh=10 * float(rate) * 20), encoding="utf-8")
    (folder / "factors.toml").write_text(
        factors_text(ALLEY, design="latin hypercube", more="samples = 8\nseed = 4\n"), encoding="utf-8"
    )


def arguments(of: Command, edition: str, out: str) -> list[str]:
    """The command's words for one of its editions."""
    return [word.format(edition) for word in of.words] + ["--out", out]


def run(folder: Path, words: Sequence[str], before: str, kill_after_s: float | None = None) -> int:
    """Run a command to its end, or until it is killed; return its exit code, negative where a signal ended it.

    Its process is a copy of this one, which has imported everything, so that moments fall into its work.
    """
    said = folder / "said.txt"
    process = os.fork()
    if process == 0:
        _be_the_command(folder, words, before, said)
    end = time.monotonic() + (3600.0 if kill_after_s is None else kill_after_s)
    while not (ended := os.waitpid(process, os.WNOHANG))[0]:
        if time.monotonic() > end:
            os.kill(process, signal.SIGKILL)
            ended = os.waitpid(process, 0)
            break
        time.sleep(0.002)
    if "Traceback" in said.read_text(encoding="utf-8"):
        raise SystemExit(f"{words}\n{said.read_text(encoding='utf-8')}")
    return os.waitstatus_to_exitcode(ended[1])


def _be_the_command(folder: Path, words: Sequence[str], before: str, said: Path) -> NoReturn:
    os.chdir(folder)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    os.dup2(os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 2)
    code = 1
    try:
        exec(before, {})  # noqa: S102 - lines of this file and its helpers
        command_line(list(words))
    except SystemExit as stop:
        code = int(stop.code or 0)
    finally:
        os._exit(code)


def faults(folder: Path, left: dict[str, bytes], whole: Sequence[dict[str, bytes]]) -> Iterator[str]:
    """Files that are neither old nor new nor a hidden leftover."""
    for name, content in left.items():
        unfinished = Path(name).name.startswith(".halfshade-") and name.endswith(".part")
        if not unfinished and not any(files.get(name) == content for files in whole):
            yield f"{folder.name}/{name} is neither old nor new ({len(content)} bytes)"


def killed(folder: Path, name: str, moments: int, draw: random.Random) -> list[str]:
    """Kill a command at many moments and return every fault found."""
    of, found, cut_short, leftovers = COMMANDS[name], [], 0, 0
    goes_on = not of.old
    old = {} if goes_on else finished(folder, of, of.old, "old")
    started = time.monotonic()
    new = finished(folder, of, of.new, "new")
    length_s, out = time.monotonic() - started, folder / "out"
    for moment in range(moments):
        if goes_on:
            shutil.rmtree(out, ignore_errors=True)
        put(out, old)
        by_step, after_s = draw.randint(1, 3 * len(new) + 4), draw.uniform(0.0, 1.1 * length_s)
        how = (of.before + at_step(by_step), None) if moment % 2 else (of.before, after_s)
        cut_short += run(folder, arguments(of, of.new, "out"), *how) == -signal.SIGKILL
        left = contents(out)
        leftovers += sum(file.endswith(".part") for file in left)
        found += faults(out, left, (old, new))
        if goes_on and finished(folder, of, of.new, "out") != new:
            found.append(f"moment {moment}: a sweep gone on with is not that of one never stopped")
    last = finished(folder, of, of.new, "out")
    if {file: content for file, content in last.items() if not file.endswith(".part")} != new:
        found.append("the run after all kills did not give the new files")
    tally = f"{moments} moments, {cut_short} cut it short, {leftovers} leftovers met, {len(found)} faults"
    sys.stdout.write("\n".join([f"{name}: {tally}", *found, ""]))
    sys.stdout.flush()
    return found


def put(folder: Path, files: dict[str, bytes]) -> None:
    """Put files back as they were; others in the folder stay."""
    for file, content in files.items():
        (folder / file).parent.mkdir(parents=True, exist_ok=True)
        (folder / file).write_bytes(content)


def finished(folder: Path, of: Command, edition: str, out: str) -> dict[str, bytes]:
    """Files of a run that nothing disturbs."""
    code = run(folder, arguments(of, edition, out), of.before)
    assert code == 0, (folder / "said.txt").read_text(encoding="utf-8")
    return contents(folder / out)


def main() -> None:
    """Kill every command and say what was found."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("commands", nargs="*", metavar="COMMAND", help=f"of {', '.join(COMMANDS)}; default all")
    parser.add_argument("--moments", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    for name in ALL_COMMANDS:
        importlib.import_module(ALL_COMMANDS[name].address.split(":")[0])
    for module in LOADED_FIRST:
        importlib.import_module(module)
    found = []
    for name in asked.commands or COMMANDS:
        with tempfile.TemporaryDirectory() as folder:
            prepare(Path(folder))
            found += killed(Path(folder), name, asked.moments, random.Random(f"{asked.seed} {name}"))  # noqa: S311
    raise SystemExit(1 if found else 0)


if __name__ == "__main__":
    main()
