# ruff: noqa: T201 - it prints what it found
"""Tens of thousands of damaged files through every command, for a person to start: no test runs it.

    python -P tests/faults/long_run.py --inputs 50000 --processes 200 --seed 1
    python -P tests/faults/long_run.py --atheris 100000 --kind planted     # guided by coverage; pip install atheris
    python -P tests/faults/long_run.py --bounds                            # every plan at a bound of a number, run
    python -P tests/faults/long_run.py --computed 2000 --pages 2000 --sweeps 500 --inputs 0 --processes 0

The last computes `property`, `sweep` and `calibrate` to their end, starts pages up to where they would be served, and
goes on with damaged folders of sweeps; the 50,000 stop those commands where their search begins.

The same seed damages the same files in the same ways. Whatever breaks a promise is printed with the way to it; the exit
code is 1 if anything does. `tests/damage.py` holds the ways, `tests/promises.py` the promises.
"""

import argparse
import collections
import functools
import itertools
import multiprocessing
import os
import subprocess
import sys
import tempfile
import warnings
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from random import Random
from types import FunctionType

TESTS = Path(__file__).parents[1]
sys.path.insert(0, str(TESTS))

import workbench  # noqa: E402 - the installed one, or of this folder where it is on the path
from bounds import numbers, text_with  # noqa: E402 - the helpers of the tests stand beside this folder
from cut_short import NOT_COMPUTED, computed, stopped_short  # noqa: E402
from damage import damaged  # noqa: E402
from damaged_sweeps import lay_out_sweep, tried_sweep  # noqa: E402
from optimize.processes import one_thread_each  # noqa: E402
from promises import REFUSAL_S, Answer, Trial, ask, broken, lay_out, tried  # noqa: E402
from seeds import PAGES, SEARCHES, SEEDS  # noqa: E402

SLOWEST_START_S = 2.5
"""Of the processor: what a process needs to start and to import on a slow machine, about twice as much as here."""
SHOWN_OF_A_KIND = 3
BLOCK = 500
PACKAGES = str(Path(workbench.__file__).parents[1])
CHEAP = ("check", "cruise", "mark", "value", "layout")


def main() -> None:
    """Try what was asked, and count."""
    asked = _asked()
    if asked.bounds:
        _at_bounds()
    kinds = asked.kind or list(SEEDS)
    if asked.atheris:
        _guided(kinds, asked.atheris)
    count = _Count()
    with one_thread_each(), ProcessPoolExecutor(asked.workers, multiprocessing.get_context("spawn")) as pool:
        for name, work, inputs, block in (
            ("in process", functools.partial(_block, kinds, asked.seed), asked.inputs, BLOCK),
            ("computed to the end", functools.partial(_computed, SEARCHES, asked.seed), 3 * asked.computed, 60),
            ("pages started", functools.partial(_computed, PAGES, asked.seed), asked.pages, 60),
            ("folders of sweeps", functools.partial(_sweeps, asked.seed), asked.sweeps, 60),
            ("as processes", functools.partial(_processes, kinds, asked.seed), asked.processes, 20),
        ):
            of_these = _Count()
            for found in pool.map(work, [(at, min(at + block, inputs)) for at in range(0, inputs, block)]):
                of_these.take(found)
                print(f"{of_these.tried:,} {name}, {of_these.faults:,} faults", flush=True)
            if inputs:
                print(f"{inputs:,} {name}: {of_these.told()}", flush=True)
            count.take(of_these)
    print(f"in all: {count.told()}")
    sys.exit(1 if count.faults else 0)


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--inputs", type=int, default=50_000, help="damaged files in this process")
    parser.add_argument("--processes", type=int, default=200, help="damaged files in processes of their own")
    parser.add_argument("--computed", type=int, default=0, help="files of each search, computed to the end")
    parser.add_argument("--pages", type=int, default=0, help="pages started up to where they are served")
    parser.add_argument("--sweeps", type=int, default=0, help="damaged folders of a sweep, gone on with or worked up")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", choices=sorted(SEEDS), action="append", help="only files of this kind")
    parser.add_argument(
        "--atheris", type=int, default=0, metavar="RUNS", help="let coverage guide so many inputs instead"
    )
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1, help="processes that do it")
    parser.add_argument("--bounds", action="store_true", help="run a plan at every bound of every number instead")
    return parser.parse_args()


def _block(kinds: list[str], seed: int, numbers: tuple[int, int]) -> "_Count":
    """Some of the inputs, in a folder of their own."""
    warnings.simplefilter("error")  # a warning of numpy in an accepted result is a fault too
    count = _Count()
    with tempfile.TemporaryDirectory() as name:
        os.chdir(name)
        lay_out(Path())
        for number in range(*numbers):
            with stopped_short():
                count.add(tried(kinds[number % len(kinds)], Random(f"{seed} {number}")))  # noqa: S311 - no secret
        os.chdir(TESTS)
    return count


def _computed(kinds: tuple[str, ...], seed: int, numbers: tuple[int, int]) -> "_Count":
    """Some of the inputs of searches, mostly slips that leave a file sound, computed to the end."""
    warnings.simplefilter("error")
    count = _Count()
    with tempfile.TemporaryDirectory() as name, computed():
        os.chdir(name)
        lay_out(Path())
        for number in range(*numbers):
            chance = Random(f"{seed} computed {number}")  # noqa: S311 - no secret
            count.add(tried(kinds[number % len(kinds)], chance, mildly=number % 8 > 0))
        os.chdir(TESTS)
    return count


def _sweeps(seed: int, numbers: tuple[int, int]) -> "_Count":
    """Some of the damaged folders."""
    count = _Count()
    with tempfile.TemporaryDirectory() as name:
        os.chdir(name)
        study = lay_out_sweep()
        for number in range(*numbers):
            count.add(tried_sweep(study, number, Random(f"{seed} {number}")))  # noqa: S311 - no secret
        os.chdir(TESTS)
    return count


def _processes(kinds: list[str], seed: int, numbers: tuple[int, int]) -> "_Count":
    """Some of the inputs as processes of their own, of commands that do not work for minutes."""
    started = [kind for kind in kinds if SEEDS[kind].commands[0][0] in CHEAP]
    count = _Count()
    with tempfile.TemporaryDirectory() as name:
        os.chdir(name)
        lay_out(Path())
        for number in range(*numbers):
            count.add(_process(started[number % len(started)], Random(f"{seed} process {number}")))  # noqa: S311
        os.chdir(TESTS)
    return count


def _at_bounds() -> None:
    """Run a plan at every bound of every number, with and without the other tables; ends the process."""
    warnings.simplefilter("error")
    os.chdir(tempfile.mkdtemp())
    codes: collections.Counter[object] = collections.Counter()
    faults = 0
    for number in numbers():
        for value, bare in itertools.product(number.inside(), (False, True)):
            Path("b.toml").write_text(text_with(number, number.written(value), bare=bare)[0], encoding="utf-8")
            answer = ask(("run", "b.toml", "--json"))
            codes[answer.code] += 1
            for each in broken(("run", "--json"), answer, "b.toml", None):
                faults += 1
                print(
                    f"{number.name} = {number.written(value)}, bare {bare}: {each}\n{answer.stderr[-900:]}", flush=True
                )
    print(f"{codes[0]:,} plans at a bound run, {codes[2]:,} refused for a rule between fields, {faults:,} faults")
    sys.exit(1 if faults else 0)


class _Count:
    """What was tried, and the first faults of each sort."""

    def __init__(self) -> None:
        self.codes: collections.Counter[object] = collections.Counter()
        self.sorts: collections.Counter[str] = collections.Counter()
        self.slowest, self.faults, self.not_computed = 0.0, 0, 0

    @property
    def tried(self) -> int:
        """How many."""
        return self.codes.total()

    def told(self) -> str:
        """In one line."""
        codes = f"accepted {self.codes[0]:,}, refused {self.codes[2]:,}"
        short = f", {self.not_computed:,} of the accepted not computed" if self.not_computed else ""
        return f"{codes}{short}; slowest refusal {self.slowest:.2f} s; {self.faults:,} faults"

    def take(self, other: "_Count") -> None:
        """Add what another process counted; it has printed its own."""
        self.codes += other.codes
        self.not_computed += other.not_computed
        self.slowest, self.faults = max(self.slowest, other.slowest), self.faults + other.faults

    def add(self, trial: Trial) -> None:
        self.codes[trial.answer.code] += 1
        self.not_computed += trial.answer.stdout == NOT_COMPUTED
        if trial.answer.code == 2:
            self.slowest = max(self.slowest, trial.answer.seconds)
        if trial.broken:
            self.faults += 1
            sort = f"{trial.seed} {trial.broken[0][:40]}"
            self.sorts[sort] += 1
            if self.sorts[sort] <= SHOWN_OF_A_KIND:
                print(trial.told(), flush=True)


def _process(kind: str, chance: Random) -> Trial:
    """The same as a process of its own."""
    seed = SEEDS[kind]
    made, arguments = damaged(seed, chance), seed.commands[0]
    Path(seed.name).write_bytes(made.content)
    before = _of_children_s()
    try:
        done = subprocess.run(
            [sys.executable, "-m", "workbench", *arguments],
            capture_output=True, timeout=120.0, check=False, stdin=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": PACKAGES, "PYTHONSAFEPATH": "1"},
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return Trial(kind, arguments, made, Answer("no answer", "", "", 120.0, (), ()), ["hangs"])
    spent = max(_of_children_s() - before - SLOWEST_START_S, 0.0)
    stdout, stderr = (stream.decode("utf-8", "replace") for stream in (done.stdout, done.stderr))
    answer = Answer(done.returncode, stdout, stderr, min(spent, REFUSAL_S) if done.returncode == 0 else spent, (), ())
    return Trial(
        kind, arguments, made, answer, broken(arguments, answer, seed.name, made.fault if seed.told_in else None)
    )


def _of_children_s() -> float:
    """Time of the processor that ended processes of this one have used [s]: others on the machine do not add to it."""
    used = os.times()
    return used.children_user + used.children_system


def _ours() -> Iterator[FunctionType]:
    """Functions and methods of the project: counting the branches of every library would take minutes to begin with."""
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] in {"simulator", "optimize", "workbench"}:
            owners = [module, *(each for each in vars(module).values() if isinstance(each, type))]
            members = [each for owner in owners for each in vars(owner).values()]
            yield from (each for each in members if isinstance(each, FunctionType) and each.__module__ == name)


def _guided(kinds: list[str], runs: int) -> None:
    """Let atheris choose the bytes that the ways of damage are drawn from; ends the process."""
    try:
        import atheris  # noqa: PLC0415 - optional
    except ImportError:
        sys.exit("atheris is not installed: pip install atheris")
    os.chdir(tempfile.mkdtemp())
    lay_out(Path())
    with stopped_short():
        for kind in kinds:  # what the commands import is there before it is told to count its branches
            tried(kind, Random(0))  # noqa: S311
    for function in _ours():
        atheris.instrument_func(function)

    class FromBytes(Random):
        """Chance that is read from the fuzzer's bytes, so that changing a byte changes one decision."""

        def __init__(self, data: bytes) -> None:
            self.data = atheris.FuzzedDataProvider(data)
            super().__init__(0)

        def getrandbits(self, k: int, /) -> int:
            return int(self.data.ConsumeIntInRange(0, 2**k - 1))

        def random(self) -> float:
            return self.getrandbits(32) / 2.0**32

    def one(data: bytes) -> None:
        chance = FromBytes(data)
        with stopped_short():
            trial = tried(chance.choice(kinds), chance)
        if trial.broken:
            raise AssertionError(trial.told())

    atheris.Setup([sys.argv[0], f"-runs={runs}", "-max_len=64", "-len_control=0", "-seed=1"], one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
