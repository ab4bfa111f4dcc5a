"""A fixed share of damaged files of every kind, each held to what its command promises; the long run has many more."""

import os
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cut_short import stopped_short
from damage import DATED, NEVER_SOUND, Damaged, Fault
from promises import broken, held, lay_out, tried
from seeds import SEEDS, one_key_a_line

EXAMPLES = 40


@pytest.fixture(scope="module", autouse=True)
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A folder of its own for the files of this module, in which the commands work."""
    before = Path.cwd()
    here = tmp_path_factory.mktemp("damaged")
    os.chdir(here)
    lay_out(here)
    with stopped_short():
        yield here
    os.chdir(before)


@pytest.mark.parametrize("kind", SEEDS)
def test_the_sound_file_is_accepted(kind: str) -> None:
    seed = SEEDS[kind]
    trial = held(kind, seed, seed.commands[0], Damaged(seed.text.encode(), None, "sound"))
    assert trial.answer.code == 0, trial.told()
    assert not trial.broken, trial.told()
    assert seed.form != "toml" or one_key_a_line(seed.text)


@pytest.mark.parametrize("kind", SEEDS)
@settings(max_examples=EXAMPLES, suppress_health_check=[HealthCheck.too_slow])
@given(chance=st.randoms(use_true_random=False))
def test_a_damaged_file_is_accepted_whole_or_refused_in_words(kind: str, chance: Random) -> None:
    trial = tried(kind, chance)
    assert not trial.broken, trial.told()


TOLD = [kind for kind, seed in SEEDS.items() if seed.form == "toml" and seed.told_in]


@pytest.mark.parametrize("kind", TOLD)
@pytest.mark.parametrize("value", ["nan", "2025-03-03"])
def test_every_line_of_a_file_that_makes_no_sense_is_named(kind: str, value: str) -> None:
    assert value in NEVER_SOUND
    seed = SEEDS[kind]
    lines = seed.text.split("\n")
    # every second line, so that no fault of a line hides behind one of its neighbour's table
    left = ("#", " ", "linked", DATED)
    faults = [n for n, line in enumerate(lines) if " = " in line and not line.startswith(left)][::2]
    for number in faults:
        key = lines[number].partition(" = ")[0]
        lines[number] = f"{key} = {value}"
    made = Damaged("\n".join(lines).encode(), None, f"{value} on every second line")
    arguments = tuple(part for part in seed.commands[0] if part != "--json")
    trial = held(kind, seed, arguments, made)
    assert trial.answer.code == 2, trial.told()
    shown = [Fault(number + 1, lines[number].partition(" = ")[0]) for number in faults][:50]
    missing = [fault for fault in shown if broken(arguments, trial.answer, seed.name, fault)]
    assert not missing, trial.told()
