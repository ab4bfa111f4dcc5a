"""``halfshade sweep``: as a student runs it, kills it, goes on with it, and spreads it over machines."""

import errno
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NoReturn

import pandas as pd
import pytest

from optimize import whole_files
from optimize.sweeps import job, shards
from optimize.sweeps.parts import RESULTS
from optimize.sweeps.run import open_sweep, sweep
from reliability import keeps
from running import PACKAGES
from simulator.errors import InputError
from sweeping import ALLEY, RATE, SAWTIMBER, THINNING, factors_text, swept, written

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]


def _drawn(samples: int, *factors: str) -> str:
    return factors_text(*factors, design="latin hypercube", more=f"samples = {samples}\nseed = 4\n")


def test_a_sweep_leaves_a_folder_that_can_be_read_and_repeated(halfshade: Halfshade, tmp_path: Path) -> None:
    field, factors = written(tmp_path, factors_text(ALLEY, RATE, SAWTIMBER, systems="all"))
    done = halfshade("sweep", field, factors, "--out", "out", "--workers", "1")
    assert done.returncode == 0, done.stderr
    assert done.stdout == "27 scenarios in out\n"
    assert "27 of 27 scenarios, " in done.stderr
    assert " a second, " in done.stderr
    folder = tmp_path / "out"
    assert sorted(path.name for path in folder.iterdir()) == [
        "digests",
        "factors.toml",
        "manifest.json",
        "results",
        "scenario.toml",
    ]
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["design"] == "grid"
    assert manifest["scenarios"] == 27
    assert len(manifest["halfshade"]["code_sha256"]) == 64
    assert manifest["schema"]["pasture_npv_per_ac"]["unit"] == "$/ac"
    frame = pd.read_parquet(folder / "results")
    assert list(frame.columns) == list(manifest["schema"])
    again = swept(tmp_path / "again", (folder / "factors.toml").read_text(), (folder / "scenario.toml").read_text())
    pd.testing.assert_frame_equal(again.frame(), open_sweep(folder).frame())


def test_json_is_the_manifest_and_nothing_else(halfshade: Halfshade, tmp_path: Path) -> None:
    field, factors = written(tmp_path, factors_text('[[factor]]\nfield = "thinning[1].year"\nvalues = [15, 30]\n'))
    done = halfshade("sweep", field, factors, "--out", "out", "--workers", "1", "--json")
    document = json.loads(done.stdout)
    assert document["scenarios"] == 2
    assert document["failed"] == 1
    told = halfshade("sweep", field, factors, "--out", "out")
    assert "1 of them could not be run" in told.stdout
    assert "1: thinning[2].year" in told.stdout


def test_workers_change_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(job, "PLANS_IN_A_TASK", 4)
    files = written(tmp_path, _drawn(10, ALLEY, RATE))
    alone = sweep(*files, tmp_path / "one", workers=1)
    both = sweep(*files, tmp_path / "two", workers=2)
    assert alone.manifest == both.manifest
    assert alone.manifest["tasks"] == 3
    for number in range(3):
        path = Path(RESULTS) / f"part-{number:06d}.parquet"
        assert (alone.folder / path).read_bytes() == (both.folder / path).read_bytes()


def _parts(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mtime_ns for path in sorted((folder / RESULTS).glob("part-*.parquet"))}


def _children(pid: int) -> list[int]:
    return [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="utf-8").split()]


@keeps("A sweep goes on where it stopped")
def test_killed_and_gone_on_with(tmp_path: Path, halfshade: Halfshade) -> None:
    """SIGKILL in the middle: what is done is whole, its processes leave, and only what is missing is done."""
    field, factors = written(tmp_path, _drawn(900, ALLEY))
    command = [sys.executable, "-m", "workbench", "sweep", str(field), str(factors), "--out", "out", "--workers", "2"]
    with subprocess.Popen(
        command,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": PACKAGES},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    ) as running:
        _until(lambda: bool(_parts(tmp_path / "out")))
        children = _children(running.pid)
        running.send_signal(signal.SIGKILL)
    before = _parts(tmp_path / "out")
    assert 0 < len(before) < 3
    assert len(pd.read_parquet(tmp_path / "out" / RESULTS)) == 300 * len(before)
    _until(lambda: not any(_is_alive(child) for child in children))
    (tmp_path / "out" / RESULTS / ".halfshade-torn.part").write_bytes(b"PAR1")
    done = halfshade("sweep", field, factors, "--out", "out", "--workers", "2")
    assert done.returncode == 0, done.stderr
    after = _parts(tmp_path / "out")
    assert len(after) == 3
    assert {name: after[name] for name in before} == before
    assert open_sweep(tmp_path / "out").frame().index.tolist() == list(range(900))
    assert not list((tmp_path / "out" / RESULTS).glob(".halfshade-*"))


def _until(holds: Callable[[], bool], seconds: float = 120.0) -> None:
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.05)


def _is_alive(pid: int) -> bool:
    status = Path(f"/proc/{pid}/stat")
    try:
        return status.read_text(encoding="utf-8").rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@keeps("Two at once")
def test_two_runs_do_not_fill_one_folder(halfshade: Halfshade, tmp_path: Path) -> None:
    field, factors = written(tmp_path, _drawn(3, RATE))
    with shards.alone_in(tmp_path / "out"):
        done = halfshade("sweep", field, factors, "--out", "out", "--workers", "1")
    assert done.returncode == 2
    assert "out is being filled by another run. Wait for it to end" in done.stderr
    assert not list((tmp_path / "out").iterdir())
    assert halfshade("sweep", field, factors, "--out", "out", "--workers", "1").returncode == 0


def test_another_sweep_in_the_same_folder_is_refused_saying_how(halfshade: Halfshade, tmp_path: Path) -> None:
    field, factors = written(tmp_path, _drawn(3, RATE))
    assert halfshade("sweep", field, factors, "--out", "out", "--workers", "1").returncode == 0
    before = _parts(tmp_path / "out")
    factors.write_text(_drawn(3, RATE).replace("seed = 4", "seed = 5"), encoding="utf-8")
    done = halfshade("sweep", field, factors, "--out", "out", "--workers", "1")
    assert done.returncode == 2
    assert "out holds another sweep: seed was 4, is 5. Name another folder" in done.stderr
    factors.write_text(_drawn(3, RATE) + "\n# a note\n", encoding="utf-8")
    done = halfshade("sweep", field, factors, "--out", "out", "--workers", "1")
    assert "out holds another sweep: the factors file has changed since. Name another folder" in done.stderr
    assert _parts(tmp_path / "out") == before


def test_a_column_that_was_not_kept_is_refused_in_words(tmp_path: Path) -> None:
    done = sweep(*written(tmp_path, _drawn(2, RATE)), tmp_path / "out")
    with pytest.raises(
        InputError, match=r"columns: are not kept by this sweep \(received nvp\). Name some of: scenario,"
    ):
        done.frame(["npv_per_ac", "nvp"])


@keeps("A full disk")
def test_a_full_disk_is_a_message_and_leaves_what_is_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(job, "PLANS_IN_A_TASK", 2)
    files = written(tmp_path, _drawn(6, ALLEY))
    left = [8]  # manifest, two files, and two parts with their digests fit; the file that then comes does not

    def fills_up(_descriptor: int) -> None:
        left[0] -= 1
        if left[0] == 0:
            raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(whole_files.os, "fsync", fills_up)
        with pytest.raises(InputError, match=r"the disk is full. Make room and give the same command again"):
            sweep(*files, tmp_path / "out")
    assert len(_parts(tmp_path / "out")) == 2
    assert not list((tmp_path / "out").rglob("*.part"))
    assert len(sweep(*files, tmp_path / "out").frame()) == 6


@pytest.mark.parametrize(
    ("factors", "said"),
    [
        (_drawn(3, ALLEY.replace("alley_ft = ", "x").replace(".alley_ft", ".alley")), 'Did you mean "alley_ft"?'),
        (factors_text(ALLEY, design="sobol sequence", more="samples = 100\n"), "Write 64 or 128."),
        (factors_text(ALLEY, design="morris"), 'samples: is missing for design = "morris"'),
        (factors_text(RATE, RATE), "has two factors called money.discount_rate"),
        (factors_text(THINNING, THINNING.replace("first_thinning", "other")), "moves thinning[1].year twice"),
        (factors_text(SAWTIMBER.replace('"sawtimber"', '"sawlogs"')), "is not an item of the price table"),
        (factors_text('[[factor]]\nnumber = "tree.nothing.*"\n'), "names no number of the model that has a range"),
        (factors_text("[[factor]]\nlow = 1\n"), "must have exactly one of field, price and number"),
        (factors_text(RATE.replace("high = 0.07", "high = 0.01")), "must be above low, which is 0.03"),
        (factors_text(RATE.replace("low", "distribution = 'normal'\nlow")), "mean: is missing"),
        (factors_text(RATE).replace('"npv"', '"nvp"'), 'Did you mean "npv"?'),
        (factors_text(RATE).replace("light at 20", "light at 99"), "beyond the horizon of 40 years"),
        (factors_text(RATE).replace("format = 1", "format = 2"), "format: must be 1"),
        (factors_text('[[factor]]\nfield = "title"\nvalues = ["a"]\n'), "cannot be varied"),
        ("", "is empty"),
    ],
)
def test_faults_of_a_factors_file_name_file_and_line(tmp_path: Path, factors: str, said: str) -> None:
    files = written(tmp_path, factors)
    with pytest.raises(InputError) as caught:
        sweep(*files, tmp_path / "out")
    assert said in str(caught.value)
    assert str(files[1]) in str(caught.value)
    assert not (tmp_path / "out").exists()


def test_a_scheduler_that_is_not_there_is_a_message(
    halfshade: Halfshade, tmp_path: Path, absent: Callable[[str], NoReturn]
) -> None:
    _needs_dask(absent)
    field, factors = written(tmp_path, _drawn(3, RATE))
    done = halfshade("sweep", field, factors, "--out", "out", "--scheduler", "tcp://127.0.0.1:9")
    assert done.returncode == 2
    assert "--scheduler: no Dask scheduler answers there" in done.stderr


def _needs_dask(absent: Callable[[str], NoReturn]) -> None:
    try:
        import distributed  # noqa: F401, PLC0415 - whether it is there
    except ImportError:
        absent("Dask is not installed")


@pytest.fixture
def scheduler(tmp_path: Path, absent: Callable[[str], NoReturn]) -> Iterator[str]:
    """A Dask scheduler with two workers, each a process of its own."""
    _needs_dask(absent)
    where = tmp_path / "scheduler.json"
    environment = {**os.environ, "PYTHONPATH": PACKAGES}
    common = ["--scheduler-file", str(where), "--no-dashboard"]
    commands = [
        ["distributed.cli.dask_scheduler", "--port", "0", "--host", "127.0.0.1", *common],
        *2 * [["distributed.cli.dask_worker", "--nthreads", "1", "--no-nanny", *common]],
    ]
    running = []
    try:
        for command in commands:
            running.append(
                subprocess.Popen(
                    [sys.executable, "-m", *command],
                    cwd=tmp_path,
                    env=environment,
                    stdout=subprocess.DEVNULL,
                    stderr=subprocess.DEVNULL,
                )
            )
            _until(where.exists)
        yield json.loads(where.read_text(encoding="utf-8"))["address"]
    finally:
        # killed, not asked: a scheduler that waits for its workers would hold up the tests
        for process in reversed(running):
            process.kill()
            process.wait()


def test_the_same_sweep_on_a_cluster(halfshade: Halfshade, tmp_path: Path, scheduler: str) -> None:
    field, factors = written(tmp_path, _drawn(320, ALLEY))
    done = halfshade("sweep", field, factors, "--out", "out", "--scheduler", scheduler)
    assert done.returncode == 0, done.stderr
    alone = halfshade("sweep", field, factors, "--out", "alone", "--workers", "2")
    assert alone.returncode == 0, alone.stderr
    both = [open_sweep(tmp_path / name).frame() for name in ("out", "alone")]
    assert len(both[0]) == 320
    pd.testing.assert_frame_equal(*both)


@pytest.mark.parametrize("name", ["scenario", "failed", "npv_per_ac", "pasture_npv_per_ac"])
def test_a_factor_is_not_called_as_a_column_of_the_results(halfshade: Halfshade, tmp_path: Path, name: str) -> None:
    """Nothing is run first: two columns of one name could not be read again."""
    field, factors = written(tmp_path, factors_text(f'[[factor]]\nname = "{name}"\nprice = "hay"\n'))
    done = halfshade("sweep", field, factors, "--out", "out", "--workers", "1")
    assert done.returncode == 2
    assert f"has a factor called {name}, as a column of the results is. Give it another name" in done.stderr
    assert f"{factors}:" in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_field_that_the_scenario_leaves_open_is_studied_too(halfshade: Halfshade, tmp_path: Path) -> None:
    text = factors_text('[[factor]]\nfield = "land.site_culture"\nvalues = [0.8, 1.0]\n', design="one at a time")
    swept(tmp_path, text)
    done = halfshade("sensitivity", "out", "--json")
    assert done.returncode == 0, done.stderr
    (swing,) = json.loads(done.stdout)["swings"]
    assert (swing["low"], swing["high"]) == (0.8, 1.0)
