"""Commands that write into one folder at the same time; promises of docs/reliability.md."""

import subprocess
import sys
import threading
from pathlib import Path

import pytest

from hardship import FLOWS, command, contents, done, surroundings
from optimize.whole_files import write_atomically
from reliability import keeps
from workbench.output import prepare_folder

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="an open file cannot be replaced there")


@keeps("Two at once")
def test_a_reader_meets_the_file_of_one_writer_or_the_other_and_never_a_mixture(tmp_path: Path) -> None:
    file, over = tmp_path / "value.json", threading.Event()
    whole = [letter * 200_000 for letter in (b"a", b"b")]
    write_atomically(file, whole[0])

    def write(content: bytes) -> None:
        while not over.is_set():
            prepare_folder(tmp_path)  # must not take the other's unfinished file away
            write_atomically(file, content)

    writers = [threading.Thread(target=write, args=(content,)) for content in whole]
    for writer in writers:
        writer.start()
    met = [file.read_bytes() for _ in range(200)]
    over.set()
    for writer in writers:
        writer.join()
    assert set(met) <= set(whole)
    assert set(contents(tmp_path)) == {"value.json"}


@keeps("Two at once")
def test_two_commands_on_one_folder_leave_the_files_of_one_or_the_other(tmp_path: Path) -> None:
    (tmp_path / "flows.csv").write_text(FLOWS, encoding="utf-8")
    asked = [("value", "flows.csv", "--rate", rate) for rate in ("0.05", "0.06")]
    alone = []
    for number, words in enumerate(asked):
        assert done(tmp_path, *words, "--out", str(number)).returncode == 0
        alone.append(contents(tmp_path / str(number)))
    running = [
        subprocess.Popen(
            command(*words, "--out", "out"),
            cwd=tmp_path,
            env=surroundings(),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
        )
        for words in asked
    ]
    said = [each.communicate(timeout=240)[1] for each in running]
    assert [each.returncode for each in running] == [0, 0], said
    left = contents(tmp_path / "out")
    assert left.keys() == alone[0].keys()
    assert all(content in {files[name] for files in alone} for name, content in left.items())
