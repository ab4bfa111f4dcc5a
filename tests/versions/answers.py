"""Answer a fixed set of questions with the packages of this interpreter, and print them as one JSON document.

    python -P tests/versions/answers.py [WORKERS] [WORD ...]

Every command that computes is asked once, or those whose name begins with one of the words, in one process, the
searches on small grids. Whoever compares answers - of other versions of the libraries, other numbers of workers or
threads - runs this file and holds two documents side by side. Scenarios and tables are invented.
"""

import contextlib
import io
import json
import random
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

EXAMPLES: Final = Path(__file__).resolve().parents[2] / "examples"
SMALL_GRID: Final = """
[search]
most_thinnings = 1
first_thinning_years = [15]
first_residuals_trees_per_ac = [60, 90]
harvest_years = [30, 35]
hay_until_years = [3]
first_grazing_years = [4]
pasture_nitrogen_lb_ac = [0, 80]

[baseline.plantation.search]
most_thinnings = 0
harvest_years = [28, 33]
"""
FACTORS: Final = """
format = 1
design = "latin hypercube"
samples = 12
seed = 3
systems = "all"
outputs = ["npv", "equal annual income", "light at 20", "irr", "tons of sawtimber"]
[[factor]]
field = "trees.layout.alley_ft"
low = 30
high = 60
[[factor]]
price = "sawtimber"
[[factor]]
field = "money.discount_rate"
low = 0.03
high = 0.07
"""
FLOWS: Final = "year,amount\n0,-310\n15,332\n22,578\n30,2455\n" + "".join(f"{year},-6.5\n" for year in range(1, 31))
PLOTS: Final = "plot,species,dbh_in,height_ft,code\n" + "".join(
    f"{plot},loblolly,{6.0 + 1.3 * tree + 0.1 * plot:.1f},{44 + 3 * tree},\n"
    for plot in range(1, 5)
    for tree in range(5)
)
MEASURED: Final = """year,quantity,value,standard_error
10,dominant_height_ft,36,1
10,quadratic_mean_dbh_in,7.0,0.2
2,hay_ton_ac,1.9,
"""
TASK: Final = 5
"""Scenarios of a task of the sweep, so that a small one has several."""


def questions(folder: Path, workers: int) -> dict[str, list[str]]:
    """Arguments of every command asked, by a name for each; their files are written into a folder."""
    field = EXAMPLES / "north-field.toml"
    text = field.read_text(encoding="utf-8")
    files = {
        "grid.toml": text + SMALL_GRID,
        "factors.toml": FACTORS,
        "flows.csv": FLOWS,
        "plots.csv": PLOTS,
        "measured.csv": MEASURED,
        "map.csv": _stem_map(),
    }
    for name, content in files.items():
        (folder / name).write_text(content, encoding="utf-8")
    at = {name: str(folder / name) for name in files}
    scenarios = sorted(path for path in EXAMPLES.glob("*.toml"))
    asked = {f"compare {path.stem}": ["compare", str(path)] for path in scenarios}
    hired = ["--workers", str(workers)]
    return asked | {
        "optimize": ["optimize", at["grid.toml"], *hired],
        "odds": ["odds", str(field), "--draws", "270", "--prices", *hired],
        "wait": ["wait", str(EXAMPLES / "standing-pines.toml"), "--years", "3", "--draws", "500"],
        "property": ["property", str(EXAMPLES / "property" / "home-place.toml")],
        "sweep": ["sweep", str(field), at["factors.toml"], "--out", str(folder / "sweep"), *hired],
        "sensitivity": ["sensitivity", str(folder / "sweep"), "--output", "equal annual income", "--over", "pasture"],
        "value": ["value", at["flows.csv"], "--rate", "0.05", "--rotation"],
        "stem": ["stem", "--dbh", "14", "--height", "78", "--buck"],
        "cruise": ["cruise", at["plots.csv"], "--plot-acres", "0.1", "--age", "18"],
        "mark": ["mark", at["map.csv"], "--light", "0.5", "--age", "16"],
        "calibrate": ["calibrate", str(field), at["measured.csv"]],
        "layout": ["layout", str(field), "--field", str(EXAMPLES / "north-field.geojson"), "--best-azimuth"],
    }


def _stem_map() -> str:
    """A plantation of 9 x 8 ft, its sizes drawn by a generator that never changes between versions."""
    draw = random.Random(11)  # noqa: S311 - invented trees
    lines = [f"{9 * (i // 13)},{8 * (i % 13)},{max(4.0, draw.gauss(7.5, 1.2)):.1f}" for i in range(143)]
    return "tree,x_ft,y_ft,dbh_in,height_ft\n" + "".join(
        f"{i + 1},{line},{'' if i % 5 else 50}\n" for i, line in enumerate(lines)
    )


def said(arguments: list[str]) -> Any:  # noqa: ANN401 - whatever a command's document holds
    """JSON document of one command."""
    from workbench.main import main  # noqa: PLC0415 - the file is also read for its questions alone

    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main.main(args=[*arguments, "--json"])
        except SystemExit as left:
            if left.code:
                raise RuntimeError(f"{arguments}: {err.getvalue()}") from None
    return json.loads(out.getvalue())


def rows_of_sweep(folder: Path) -> dict[str, list[object]]:
    """Results of the sweep, column by column."""
    import pandas as pd  # noqa: PLC0415

    frame = pd.read_parquet(folder / "sweep" / "results").sort_values("scenario")
    return {str(name): [None if value != value else value for value in frame[name].tolist()] for name in frame}  # noqa: PLR0124 - NaN


def answers(workers: int, words: Sequence[str]) -> Iterator[tuple[str, Any]]:
    """Every question that begins with one of some words, or all, and what was said."""
    from optimize.sweeps import job  # noqa: PLC0415

    job.PLANS_IN_A_TASK = TASK
    with tempfile.TemporaryDirectory() as name, contextlib.chdir(name):
        folder = Path(name)
        for question, arguments in questions(folder, workers).items():
            if words and not question.startswith(tuple(words)):
                continue
            document = said(arguments)
            yield question, document
            if question == "sweep":
                yield "sweep's rows", rows_of_sweep(folder)


def main() -> None:
    """Print the document."""
    workers, words = int(sys.argv[1]) if len(sys.argv) > 1 else 1, sys.argv[2:]
    sys.stdout.write(json.dumps(dict(answers(workers, words)), sort_keys=True) + "\n")


if __name__ == "__main__":
    main()
