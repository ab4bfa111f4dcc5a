"""The folder of a sweep: a manifest, the files it answers, and results in parts, each whole or not there."""

import contextlib
import json
import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
from pydantic import BaseModel, Field, ValidationError

from optimize.editions import sha256
from optimize.sweeps.factors import Varied
from optimize.sweeps.job import Job, Task
from optimize.sweeps.model import FAILED, SCENARIO
from optimize.sweeps.parts import RESULTS, Parts
from optimize.sweeps.work import Done
from optimize.whole_files import cannot_write, write_atomically
from simulator.errors import InputError, Problem
from simulator.named_files import Kind, bytes_of, is_file, text_of

MANIFEST: Final = "manifest.json"
try:
    import fcntl
except ImportError:  # not on every system
    fcntl = None  # type: ignore[assignment]

KEPT: Final = "Give the same command 'halfshade sweep' again, which puts it back."
ANEW: Final = "Run the sweep anew, into another folder."
WRITTEN: Final = Kind(50_000_000, ANEW, ANEW, ANEW, ANEW)
_COPY: Final = Kind(50_000_000, KEPT, KEPT, KEPT, KEPT)


class _Edition(BaseModel):
    code_sha256: str


class _Kept(BaseModel):
    sha256: str


class _Prices(BaseModel):
    """Of a packaged table there is only the name."""

    name: str
    sha256: str = ""


class _Manifest(BaseModel):
    """What a manifest has to hold to be worked up; a person's hand may have been in it."""

    halfshade: _Edition
    scenario: _Kept
    factors: _Kept
    price_table: _Prices
    design: str
    scenarios: int = Field(ge=0)
    tasks: int = Field(ge=0)
    columns: dict[str, dict[str, str]] = Field(alias="schema")


def schema_of(job: Job, columns: Mapping[str, str]) -> pa.Schema:
    """Columns of the results: number of the scenario, factors, outputs with their units, and why it failed."""
    fields = [pa.field(SCENARIO, pa.int64(), nullable=False)]
    fields += [_field(factor.name, _type_of(factor), factor.unit) for factor in job.factors]
    fields += [_field(name, pa.float64(), unit) for name, unit in columns.items()]
    return pa.schema([*fields, _field(FAILED, pa.string(), "")])


def _field(name: str, kind: pa.DataType, unit: str) -> pa.Field:
    return pa.field(name, kind, metadata={"unit": unit} if unit else None)


def _type_of(factor: Varied) -> pa.DataType:
    if factor.numeric:
        return pa.float64()
    return pa.bool_() if factor.values and all(isinstance(value, bool) for value in factor.values) else pa.string()


def schema_document(schema: pa.Schema) -> list[dict[str, str]]:
    """The columns as they stand in the manifest."""
    return [
        {"name": field.name, "type": str(field.type)}
        | ({"unit": field.metadata[b"unit"].decode()} if field.metadata else {})
        for field in schema
    ]


def part_of(schema: pa.Schema, job: Job, task: Task, done: Done) -> bytes:
    """The results of a task as the content of one Parquet file."""
    arrays: list[Any] = [pa.array(task.places)]
    arrays += [_factor_column(factor, task.codes[:, place]) for place, factor in enumerate(job.factors)]
    missing = np.full(len(task.places), np.nan)
    for field in list(schema)[len(arrays) : -1]:
        arrays.append(pa.array(done.columns.get(field.name, missing), from_pandas=True))
    arrays.append(pa.array(done.failed, pa.string()))
    sink = pa.BufferOutputStream()
    pq.write_table(pa.Table.from_arrays(arrays, schema=schema), sink)
    return bytes(sink.getvalue().to_pybytes())


def _factor_column(factor: Varied, codes: np.ndarray[Any, np.dtype[np.float64]]) -> pa.Array:
    if factor.values is None:
        left_alone = float(factor.now) if isinstance(factor.now, int | float) else np.nan
        return pa.array(np.where(np.isnan(codes), left_alone, codes), pa.float64(), from_pandas=True)
    known = [factor.now if np.isnan(code) else factor.decoded(code) for code in codes.tolist()]
    kind = _type_of(factor)
    return pa.array([str(value) for value in known] if kind == pa.string() else known, kind)


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Keep other runs out of a sweep's folder while this one works; a lock that goes when its process does.

    Where the file system or the machine has no locks nothing is kept out; parts are whole all the same.

    Raises
    ------
    InputError
        Where another run is at work there, or the folder cannot be written in.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise cannot_write(folder, error, "--out") from error
    if fcntl is None:
        yield
        return
    descriptor = os.open(folder, os.O_RDONLY)  # the folder itself is locked, so that no file is left in it
    try:
        with contextlib.suppress(OSError):
            _locked(descriptor, folder)
        yield
    finally:
        os.close(descriptor)


def _locked(descriptor: int, folder: Path) -> None:
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        remedy = "Wait for it to end, or name another folder."
        raise InputError([Problem("--out", f"{folder} is being filled by another run", "", remedy)]) from None


def begin(parts: Parts, files: Mapping[str, bytes]) -> set[int]:
    """Open the folder of a sweep, or go on in it.

    Parameters
    ----------
    parts
        Of this sweep.
    files
        What is kept beside the manifest so that the sweep can be repeated, by name.

    Returns
    -------
    set of int
        Tasks that are done.

    Raises
    ------
    InputError
        Where the folder holds another sweep or one that was changed, or cannot be written in.
    """
    folder, present = parts.folder, parts.folder / MANIFEST
    known = present.exists()
    if known:
        _same(folder, read_manifest(folder), parts.manifest)
    elif any((folder / RESULTS).glob("part-*.parquet")):
        remedy = "Name another folder, or take the files out of it."
        raise InputError([Problem("--out", f"{folder} holds results without their manifest", "", remedy)])
    done = parts.there()
    for number in done:  # before anything is written
        parts.whole(number)
    parts.open()
    for name, data in files.items():
        if not _holds(folder / name, data):
            write_atomically(folder / name, data)
    if not known:
        write_atomically(present, json.dumps(parts.manifest, indent=2) + "\n")
    return set(done)


def _holds(path: Path, data: bytes) -> bool:
    """Whether a copy is as it was written; one that cannot be read is not."""
    try:
        return is_file(path) and path.read_bytes() == data
    except OSError:
        return False


def read_manifest(folder: Path) -> dict[str, Any]:
    """Manifest of a sweep's folder.

    Raises
    ------
    InputError
        Where there is none, or it cannot be read.
    """
    path = folder / MANIFEST
    if not is_file(path):
        remedy = "Name the folder that 'halfshade sweep ... --out DIR' wrote."
        raise InputError([Problem("", "is not the folder of a sweep", "", remedy, str(folder))])
    try:
        document = json.loads(text_of(path, WRITTEN))
    except (ValueError, RecursionError) as error:
        line = getattr(error, "lineno", None)
        raise InputError([Problem("", "is no JSON any more", "", ANEW, str(path), line)]) from error
    try:
        _Manifest.model_validate(document)
    except ValidationError as error:
        place = ".".join(str(part) for part in error.errors()[0]["loc"])
        raise InputError([Problem(place, "is not as a sweep writes it", "", ANEW, str(path))]) from error
    whole: dict[str, Any] = document
    return whole


def check_kept(folder: Path, manifest: Mapping[str, Any]) -> None:
    """Refuse a sweep's folder in which a file that it answers is another one now.

    Raises
    ------
    InputError
        Naming each.
    """
    table = manifest["price_table"]
    kept = {"scenario.toml": manifest["scenario"], "factors.toml": manifest["factors"], Path(table["name"]).name: table}
    problems = [
        Problem("", "is not the file that the sweep was run with", "", KEPT, str(folder / name))
        for name, of in kept.items()
        if "sha256" in of and sha256(bytes_of(folder / name, _COPY)) != of["sha256"]
    ]
    if problems:
        raise InputError(problems)


def _same(folder: Path, there: Mapping[str, Any], asked: Mapping[str, Any]) -> None:
    differing = list(_differences(there, asked, ""))
    if not differing:
        return
    remedy = "Name another folder, or go back to what it was done with."
    raise InputError(
        [Problem("--out", f"{folder} holds another sweep: {_change(*found)}", "", remedy) for found in differing]
    )


_FILES: Final = {
    "scenario.sha256": "the scenario file has changed since",
    "factors.sha256": "the factors file has changed since",
    "price_table.sha256": "the price table has changed since",
    "halfshade.code_sha256": "it was begun by another edition of Halfshade",
}
"""What a different digest means; the digests themselves tell a person nothing."""


def _change(field: str, was: str, now: str) -> str:
    return _FILES.get(field, f"{field} was {was}, is {now}")


def _differences(there: Any, asked: Any, field: str) -> Sequence[tuple[str, str, str]]:  # noqa: ANN401 - any JSON value
    if isinstance(there, Mapping) and isinstance(asked, Mapping):
        keys = dict.fromkeys([*asked, *there])
        return [
            found
            for key in keys
            for found in _differences(there.get(key), asked.get(key), f"{field}.{key}" if field else key)
        ]
    return [] if there == asked else [(field, _short(there), _short(asked))]


def _short(value: object) -> str:
    text = "absent" if value is None else str(value)
    return text if len(text) <= 40 else f"{text[:12]}..."
