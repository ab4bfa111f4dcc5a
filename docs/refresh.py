"""Write what the documents show from what the program is: excerpt and pictures of README.md, docs/numbers.md.

Run ``python docs/refresh.py`` after a change of results or of parameter files; a test holds both up to date.
"""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import price_tables
import simulator.parameters
import workbench
from simulator import compare
from simulator.scenario.file import load_text
from simulator.sourced import Sourced, SourcedFile, read_sourced
from workbench.charts import cross_section_figure, image, income_figure
from workbench.examples import example_text

ROOT = Path(__file__).resolve().parents[1]
BEGIN, END = "<!-- from a run of `halfshade compare` -->\n```text\n", "```\n<!-- end of the run -->"
FINDINGS_SHOWN = 4
PICTURE_DPI = 100.0
HEAD = """# Every number

Written by `docs/refresh.py` from the parameter files; do not edit. How each is used: `docs/method.md`. The range is
what the number may lie in as far as is known; `weak` marks what no published value was found for.
"""


def comparison_excerpt() -> str:
    """Table, note and first findings that ``halfshade compare`` prints for the packaged example."""
    packages = str(Path(workbench.__file__).parents[1])
    done = subprocess.run(
        [sys.executable, "-m", "workbench", "compare"],
        env={**os.environ, "PYTHONPATH": packages, "PYTHONUTF8": "1"},
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    table, _, rest = done.stdout.partition("\nThe plans\n")
    _, _, findings = rest.partition("\nFindings\n")
    lines = [line.rstrip() for line in table.splitlines()]
    shown = findings.splitlines()[:FINDINGS_SHOWN]
    return "\n".join([*lines, "", "Findings", *shown, "  ..."]) + "\n"


def readme(text: str) -> str:
    """README.md with the excerpt of today."""
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not (begin and end):
        raise ValueError("README.md lacks the marks between which the run stands")
    return before + begin + comparison_excerpt() + end + after


def numbers() -> str:
    """docs/numbers.md as the parameter files of today make it."""
    parameters, prices = Path(simulator.parameters.__file__).parent, Path(price_tables.__file__).parent
    paths = [(path, f"simulator/parameters/{path.relative_to(parameters).as_posix()}") for path in _tomls(parameters)]
    paths += [(path, f"price_tables/{path.relative_to(prices).as_posix()}") for path in _tomls(prices)]
    return HEAD + "".join(_file(read_sourced(path, plain=("currency_year", "extends")), name) for path, name in paths)


def _tomls(folder: Path) -> list[Path]:
    return sorted(folder.rglob("*.toml"))


def _file(file: SourcedFile, name: str) -> str:
    parts = [f"\n## {file.title}\n\n`{name}`\n"]
    for table, entries in file.tables.items():
        parts.append(f"\n`[{table}]`\n\n| number | value | unit | range | source |\n| --- | --- | --- | --- | --- |\n")
        parts += [_row(number, entry) for number, entry in entries.items()]
    parts.append("\nSources\n\n" + "".join(f"- {key}: {text}\n" for key, text in file.sources.items()))
    return "".join(parts)


def _row(number: str, entry: Sourced) -> str:
    limits = "" if entry.low is None else f"{entry.low:g} - {entry.high:g}"
    source = f"{entry.source}, weak" if entry.provisional else entry.source
    return f"| {number} | {', '.join(_values(entry))} | {entry.unit} | {limits} | {source} |\n"


def _values(entry: Sourced) -> Iterator[str]:
    values = entry.value if isinstance(entry.value, tuple) else (entry.value,)
    return (f"{value:.10g}" for value in values)


def pictures() -> dict[str, bytes]:
    """Pictures of README.md by file name, drawn from the packaged example."""
    comparison = compare(load_text(example_text(), "packaged example"))
    figures = {"income": income_figure, "cross_section": cross_section_figure}
    return {f"{name}.png": image(draw(comparison), "png", PICTURE_DPI) for name, draw in figures.items()}


def main() -> None:
    """Write all of them."""
    path = ROOT / "README.md"
    path.write_text(readme(path.read_text(encoding="utf-8")), encoding="utf-8")
    (ROOT / "docs" / "numbers.md").write_text(numbers(), encoding="utf-8")
    for name, content in pictures().items():
        (ROOT / "docs" / "images" / name).write_bytes(content)


if __name__ == "__main__":
    main()
