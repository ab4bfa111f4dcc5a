"""Sweeps from Python: a scenario file and a factors file in, a folder of results out."""

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from optimize import editions
from optimize.sweeps.designs import codes_of
from optimize.sweeps.executors import all_done, crew
from optimize.sweeps.file import Question, load_question
from optimize.sweeps.job import Job, job_of, tasks_of
from optimize.sweeps.model import FAILED, SCENARIO
from optimize.sweeps.outputs import columns_of
from optimize.sweeps.parts import Parts
from optimize.sweeps.shards import alone_in, begin, part_of, read_manifest, schema_document, schema_of
from optimize.sweeps.work import PLAN
from simulator.alternatives import systems_of
from simulator.errors import InputError, Problem
from simulator.scenario.file import text_of

if TYPE_CHECKING:
    import pandas as pd


_RECEIVED = r" \([^()]*\d[^()]*\)"


class Progress(NamedTuple):
    """How far a sweep is: scenarios done, of all; those done in this run, and the seconds they took."""

    done: int
    of: int
    now: int
    seconds: float

    @property
    def rate(self) -> float:
        """Scenarios a second in this run."""
        return self.now / self.seconds if self.seconds > 0.0 else 0.0

    @property
    def seconds_left(self) -> float:
        """Seconds until all are done at this rate."""
        return (self.of - self.done) / self.rate if self.rate > 0.0 else float("inf")


Tell = Callable[[Progress], None]


@dataclass(frozen=True)
class Sweep:
    """A sweep's folder.

    Attributes
    ----------
    folder
        Where it is.
    manifest
        What was asked, and with which edition it was answered.
    """

    folder: Path
    manifest: Mapping[str, Any]

    @property
    def parts(self) -> Parts:
        """Files of results."""
        return Parts(self.folder, int(self.manifest["tasks"]), self.manifest)

    def frame(self, columns: Sequence[str] | None = None) -> "pd.DataFrame":
        """Results as a table, one row a scenario in the order of the design.

        Parameters
        ----------
        columns
            Those wanted; all when absent. ``scenario`` is the index.

        Returns
        -------
        pandas.DataFrame
            Factors and outputs with their units in the names; ``failed`` says why a scenario has no outputs.

        Raises
        ------
        InputError
            Where there are none yet, a file was changed since it was written, or a column is none of theirs.
        """
        import pyarrow as pa  # noqa: PLC0415 - slow to import

        try:
            tables = list(self.parts.tables(None if columns is None else [SCENARIO, *columns]))
        except pa.ArrowInvalid as error:  # parts are as they were written: only a column can be missing
            unknown = ", ".join(name for name in columns or () if name not in self.manifest["schema"])
            remedy = f"Name some of: {', '.join(self.manifest['schema'])}."
            raise InputError([Problem("columns", "are not kept by this sweep", unknown, remedy)]) from error
        if not tables:
            remedy = "Run the same sweep again; it does what is missing."
            raise InputError([Problem("", "holds no results yet", "", remedy, str(self.folder))])
        frame: pd.DataFrame = pa.concat_tables(tables).to_pandas()
        return frame.sort_values(SCENARIO).set_index(SCENARIO)

    def failures_counted(self) -> int:
        """Number of scenarios that could not be run."""
        return int(self.frame([FAILED])[FAILED].notna().sum())

    def commonest_failures(self, most: int = 5) -> list[tuple[str, int]]:
        """The commonest reasons, their numbers left out so that alike ones count together."""
        reasons = self.frame([FAILED])[FAILED].dropna().str.replace(_RECEIVED, "", regex=True)
        return [(str(reason), int(count)) for reason, count in reasons.value_counts().head(most).items()]

    def _repr_html_(self) -> str:
        return str(self.frame().head(10).to_html())


def open_sweep(folder: str | Path) -> Sweep:
    """Open the folder of a sweep that was run.

    Raises
    ------
    InputError
        Where it is none.
    """
    return Sweep(Path(folder), read_manifest(Path(folder)))


def sweep(
    scenario: str | Path,
    factors: str | Path,
    out: str | Path,
    *,
    workers: int = 1,
    scheduler: str | None = None,
    tell: Tell | None = None,
) -> Sweep:
    """Run every scenario that a factors file asks for.

    Parameters
    ----------
    scenario, factors
        The two files.
    out
        Folder for the results; a sweep that was stopped there goes on where it stopped.
    workers
        Processes of this machine; results do not depend on their number. A script that asks for more than one
        keeps its work below ``if __name__ == "__main__":``.
    scheduler
        Address of a Dask scheduler, whose workers are taken instead.
    tell
        Told how far it is.

    Returns
    -------
    Sweep
        ``frame()`` is the table; pandas, Polars and DuckDB read the Parquet files in ``results`` too.

    Raises
    ------
    InputError
        Where a file has faults, or the folder holds another sweep.
    """
    question, folder = load_question(Path(scenario), Path(factors)), Path(out)
    job = job_of(question)
    codes = codes_of(question.file.design, question.factors, question.file.samples, question.file.seed)
    tasks = list(tasks_of(job, codes))
    schema = schema_of(job, _columns(job))
    manifest = _manifest(question, len(codes), len(tasks), schema_document(schema))
    parts = Parts(folder, len(tasks), manifest)
    with alone_in(folder):
        finished = begin(parts, _kept(question))
        missing = {task.number: task for task in tasks if task.number not in finished}
        if missing:
            count = _Count(len(codes), len(codes) - sum(len(task.places) for task in missing.values()), tell)
            with crew(min(workers, len(missing)), scheduler) as hired:
                for done in all_done(hired, job, list(missing.values())):
                    parts.write(done.number, part_of(schema, job, missing.pop(done.number), done))
                    count.more(len(done.places))
    return Sweep(folder, manifest)


class _Count:
    """Counts scenarios as they are done, and tells."""

    def __init__(self, of: int, at_start: int, tell: Tell | None) -> None:
        self._of, self._at_start, self._tell = of, at_start, tell
        self._now, self._started = 0, time.monotonic()

    def more(self, scenarios: int) -> None:
        self._now += scenarios
        if self._tell is not None:
            self._tell(Progress(self._at_start + self._now, self._of, self._now, time.monotonic() - self._started))


def _columns(job: Job) -> dict[str, str]:
    names = systems_of(job.scenario, job.beside) if job.all_systems else [PLAN]
    return columns_of(dict.fromkeys(names, job.outputs))


def _manifest(question: Question, scenarios: int, tasks: int, schema: list[dict[str, str]]) -> dict[str, Any]:
    file = question.file
    return {
        "format": 1,
        "halfshade": {"version": editions.version(), "code_sha256": editions.code_hash()},
        "libraries": editions.library_versions(),
        "scenario": _named(question.scenario_path),
        "factors": _named(question.factors_path),
        "price_table": {"name": question.scenario.money.price_table} | _own_prices(question),
        "design": file.design,
        "seed": file.seed,
        "samples": file.samples,
        "systems": file.systems,
        "scenarios": scenarios,
        "tasks": tasks,
        "schema": {column["name"]: column for column in schema},
    }


def _named(path: Path) -> dict[str, str]:
    return {"sha256": editions.sha256(text_of(path).encode())}


def _own_prices(question: Question) -> dict[str, str]:
    path = question.beside / question.scenario.money.price_table
    return {"sha256": editions.sha256(path.read_bytes())} if path.is_file() else {}


def _kept(question: Question) -> dict[str, bytes]:
    """Files that the sweep can be repeated from: the scenario, the factors, and a price table of the person's own."""
    kept = {
        "scenario.toml": text_of(question.scenario_path).encode(),
        "factors.toml": text_of(question.factors_path).encode(),
    }
    own = question.beside / question.scenario.money.price_table
    return kept | ({own.name: own.read_bytes()} if own.is_file() else {})
