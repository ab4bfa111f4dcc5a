"""The notebooks in examples/ run from top to bottom, and Python answers as they show."""

import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import pytest

from plans import example
from running import PACKAGES
from simulator import change, compare, run, run_many
from simulator.errors import InputError

EXAMPLES = Path(__file__).parents[2] / "examples"
NOTEBOOKS = sorted(EXAMPLES.glob("*.ipynb"))
EXECUTE = """
import sys
import nbformat
from nbclient import NotebookClient
book = nbformat.read(sys.argv[1], as_version=4)
NotebookClient(book, timeout=300, resources={"metadata": {"path": "."}}).execute()
nbformat.write(book, sys.argv[1])
"""


def test_there_are_two() -> None:
    assert len(NOTEBOOKS) == 2


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda path: path.stem)
def test_notebook_runs(notebook: Path, tmp_path: Path, absent: Callable[[str], NoReturn]) -> None:
    if any(importlib.util.find_spec(name) is None for name in ("nbclient", "nbformat", "ipykernel")):
        absent("nbclient, nbformat or ipykernel is not installed")
    shutil.copytree(EXAMPLES, tmp_path / "examples")
    done = subprocess.run(
        [sys.executable, "-c", EXECUTE, notebook.name],
        cwd=tmp_path / "examples",
        env={name: value for name, value in os.environ.items() if name != "MPLBACKEND"} | {"PYTHONPATH": PACKAGES},
        capture_output=True,
        encoding="utf-8",
        timeout=600,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    text = (tmp_path / "examples" / notebook.name).read_text(encoding="utf-8")
    assert "text/html" in text
    assert "image/png" in text


def test_notebooks_are_kept_without_results() -> None:
    for notebook in NOTEBOOKS:
        assert '"execution_count": null' in notebook.read_text(encoding="utf-8")
        assert '"output_type"' not in notebook.read_text(encoding="utf-8")


def test_results_show_themselves_as_tables() -> None:
    field = example()
    for result in (run(field, precision="fast"), compare(field, precision="fast"), run_many([field, field])):
        assert "<th>npv_per_ac</th>" in result._repr_html_()


def test_a_changed_scenario_is_checked_as_if_written_so() -> None:
    wider = change(example(), {"trees.layout.alley_ft": 60, "money.prices.calf": 2.5, "thinning[1].year": 17})
    assert wider.trees is not None
    assert wider.trees.layout.alley_ft == 60.0
    assert wider.money.prices["calf"] == 2.5
    assert wider.thinning[0].year == 17
    assert example().thinning[0].year == 16
    for fields, said in (
        ({"trees.layout.alley": 60}, 'Did you mean "alley_ft"?'),
        ({"thinning[1].year": 99}, "thinning"),
        ({"money.prices.beef": 1.0}, "is not an item of the price table"),
    ):
        with pytest.raises(InputError) as caught:
            change(example(), fields)
        assert said in str(caught.value)


def test_many_runs_are_the_single_runs() -> None:
    plans = {f"{ft}": change(example(), {"trees.layout.alley_ft": ft}) for ft in (30, 60)}
    frame = run_many(plans).frame()
    assert frame.index.tolist() == ["30", "60"]
    for name, plan in plans.items():
        alone = run(plan, precision="fast").measures
        assert frame.loc[name, "npv_per_ac"] == pytest.approx(alone.npv, abs=1e-5)
