"""Folders of a sweep in which a file was damaged, gone on with and worked up: right rows, or a refusal in words."""

import json
import os
import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import Final
from unittest import mock

import pandas as pd
import pyarrow.parquet as pq

from damage import Damaged, json_value
from damaged_bytes import BYTE_WAYS
from hardship import contents
from optimize.sweeps.run import open_sweep
from promises import OUT, Trial, ask, broken
from seeds import SHORT
from sweeping import ALLEY, factors_text, written

FRESH: Final = Path("fresh")
"""The sweep that nobody damaged."""
GO_ON: Final = ("sweep", "field.toml", "factors.toml", "--workers", "1", "--out", OUT, "--json")
WORK_UP: Final = ("sensitivity", OUT, "--no-break-even", "--json")
FACTORS: Final = factors_text(ALLEY, design="latin hypercube", more="samples = 6\nseed = 4\n")


@contextmanager
def few_plans() -> Iterator[None]:
    """Three parts of a sweep of six scenarios."""
    with mock.patch("optimize.sweeps.job.PLANS_IN_A_TASK", 2):
        yield


def lay_out_sweep() -> str:
    """Run the sweep that will be damaged, in the present folder, and say what working it up gives."""
    written(Path(), FACTORS, SHORT)
    with few_plans():
        assert ask((*GO_ON[:-2], str(FRESH))).code == 0
    shutil.copytree(FRESH, OUT)
    answer = ask(WORK_UP)
    assert answer.code == 0, answer.stderr
    return answer.stdout


def tried_sweep(study: str, number: int, chance: Random) -> Trial:
    """Damage a copy of the sweep, and go on with it or work it up.

    Parameters
    ----------
    study
        What working up the sound folder gives.
    number
        Of the trial; the ways take turns.
    chance
        Draws the file and the command.
    """
    shutil.rmtree(OUT, ignore_errors=True)
    shutil.copytree(FRESH, OUT)
    way = WAYS[number % len(WAYS)]
    said = f"{way.__name__} {way(_files(), chance)}"
    arguments = chance.choice([GO_ON, GO_ON, WORK_UP])
    with few_plans():
        answer = ask(arguments)
    # a library that is another version now is told by its name
    told = answer._replace(stderr=re.sub(r"libraries\.\w+ was", "libraries were", answer.stderr))
    found = broken(arguments, told, OUT, None)
    if answer.code == 0 and arguments == GO_ON:
        found += _unlike_fresh()
    if answer.code == 0 and arguments == WORK_UP and answer.stdout != study:
        found.append("works up to something else")
    return Trial("sweep folder", arguments, Damaged(b"", None, said), answer, found)


def _unlike_fresh() -> Iterator[str]:
    now, fresh = contents(Path(OUT)), contents(FRESH)
    for name, content in fresh.items():
        if name.endswith((".parquet", ".toml")) and now.get(name) != content:
            yield f"{name} is not that of a fresh sweep"
    yield from (f"{name} is left over" for name in now.keys() - fresh.keys() if name.endswith(".parquet"))
    if not open_sweep(OUT).frame().equals(open_sweep(FRESH).frame()):
        yield "other rows than a fresh sweep"


def _files() -> list[Path]:
    return sorted(path for path in Path(OUT).rglob("*") if path.is_file())


# --- ways; each says what it did


def changed_bytes(files: list[Path], chance: Random) -> str:
    path, way = chance.choice(files), chance.choice(BYTE_WAYS)
    path.write_bytes(way(path.read_bytes(), chance))
    return f"{path} {way.__name__}"


def flipped_in_a_part(files: list[Path], chance: Random) -> str:
    """One bit, which may well be one of a number."""
    path = chance.choice([path for path in files if path.suffix == ".parquet"])
    content = bytearray(path.read_bytes())
    at = chance.randrange(len(content))
    content[at] ^= 1 << chance.randrange(8)
    path.write_bytes(content)
    return f"{path} at {at}"


def other_numbers(files: list[Path], chance: Random) -> str:
    """A part that is sound Parquet, and not what was computed."""
    path = chance.choice([path for path in files if path.suffix == ".parquet"])
    table = pq.read_table(path)
    frame: pd.DataFrame = table.to_pandas()
    name = chance.choice([name for name in frame if frame[name].dtype.kind in "if"])
    frame[name] = frame[name] * 2
    pq.write_table(table.from_pandas(frame, schema=table.schema, preserve_index=False), path)
    return f"{path} {name}"


def manifest_value(_: list[Path], chance: Random) -> str:
    path = Path(OUT) / "manifest.json"
    made = json_value(path.read_text(encoding="utf-8"), chance)
    path.write_bytes(made.content)
    return made.way


def emptied(files: list[Path], chance: Random) -> str:
    path = chance.choice(files)
    path.write_bytes(chance.choice([b"", b"\n", b"PAR1", b"{}", bytes(100)]))
    return str(path)


def gone(files: list[Path], chance: Random) -> str:
    path = chance.choice([*files, Path(OUT) / "digests", Path(OUT) / "results"])
    shutil.rmtree(path) if path.is_dir() else path.unlink()
    return str(path)


def swapped(files: list[Path], chance: Random) -> str:
    one, other = chance.sample(files, 2)
    first, second = one.read_bytes(), other.read_bytes()
    one.write_bytes(second)
    if chance.random() < 0.5:
        other.write_bytes(first)
    return f"{one} {other}"


def doubled(_: list[Path], chance: Random) -> str:
    """A part, or one with its digest, under the number of another."""
    of, to = chance.sample(range(5), 2)
    of %= 3
    for name in ("results/part-{:06d}.parquet", "digests/part-{:06d}.sha256"):
        if "results" in name or chance.random() < 0.7:
            (Path(OUT) / name.format(to)).write_bytes((FRESH / name.format(of)).read_bytes())
    return f"{of} as {to}"


def no_file(files: list[Path], chance: Random) -> str:
    """Something else in the place of a file: a folder, a pipe, a link to nothing or into itself, a closed file."""
    path = chance.choice([*files, Path(OUT) / "digests", Path(OUT) / "results"])
    shutil.rmtree(path) if path.is_dir() else path.unlink()
    kinds: dict[str, Callable[[], object]] = {
        "folder": path.mkdir,
        "pipe": lambda: os.mkfifo(path),
        "lost link": lambda: path.symlink_to("nowhere"),
        "link into itself": lambda: path.symlink_to(path.name),
        "closed": lambda: (path.write_bytes(b"x"), path.chmod(0)),
    }
    kind = chance.choice(list(kinds))
    kinds[kind]()
    return f"{path} {kind}"


def in_other_words(_: list[Path], chance: Random) -> str:
    """The same manifest, written otherwise: no fault at all."""
    path = Path(OUT) / "manifest.json"
    document = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps(document, indent=chance.choice([None, 1, 7])), encoding="utf-8")
    return ""


WAYS: Final[tuple[Callable[[list[Path], Random], str], ...]] = (
    changed_bytes, changed_bytes, flipped_in_a_part, flipped_in_a_part, other_numbers, manifest_value, manifest_value,
    emptied, gone, swapped, doubled, no_file, no_file, in_other_words,
)  # fmt: skip
