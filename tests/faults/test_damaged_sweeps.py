"""Folders of a sweep in which a file was damaged: right rows, or a refusal in words; the long run has many more."""

import os
from collections.abc import Iterator
from random import Random

import pytest

from damaged_sweeps import FRESH, WAYS, lay_out_sweep, tried_sweep
from optimize.sweeps.run import open_sweep
from reliability import keeps

EXAMPLES = 2 * len(WAYS)


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """What working up the sound sweep gives; beside it the sweep."""
    if os.name != "posix":
        pytest.skip("needs pipes and links")
    with pytest.MonkeyPatch.context() as patched:
        patched.chdir(tmp_path_factory.mktemp("sweeps"))
        yield lay_out_sweep()


@keeps("A sweep goes on where it stopped")
def test_a_damaged_folder_gives_right_rows_or_is_refused_in_words(study: str) -> None:
    codes = set()
    for number in range(EXAMPLES):
        trial = tried_sweep(study, number, Random(f"1 {number}"))  # noqa: S311 - no secret
        assert not trial.broken, trial.told()
        codes.add(trial.answer.code)
    assert codes == {0, 2}
    assert len(open_sweep(FRESH).frame()) == 6
