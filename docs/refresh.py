"""Write what the documents show from what the program is: excerpt and pictures of README.md, pages of the book.

Run ``python docs/refresh.py`` after a change of results or of parameter files; a test holds both up to date.
"""

from pathlib import Path
from tempfile import TemporaryDirectory

from book.checks import checks, record
from book.commands import run
from book.equations import equation_pages, nomenclature
from book.formulas import left_out_page
from book.numbers import number_pages
from book.provisional import provisional
from book.walkthroughs import PAGES, refreshed
from simulator import compare
from simulator.scenario.file import load_text
from workbench.charts import cross_section_figure, image, income_figure
from workbench.examples import example_text

ROOT = Path(__file__).resolve().parents[1]
BEGIN, END = "<!-- from a run of `halfshade compare` -->\n```text\n", "```\n<!-- end of the run -->"
FINDINGS_SHOWN = 4
PICTURE_DPI = 100.0


def comparison_excerpt() -> str:
    """Table, note and first findings that ``halfshade compare`` prints for the packaged example."""
    done = run("-m", "workbench", "compare", folder=ROOT)
    done.check_returncode()
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


def pages() -> dict[str, str]:
    """Pages of the book that are made from the program, by path below docs/."""
    return (
        number_pages()
        | equation_pages()
        | {"equations/left-out.md": left_out_page(), "nomenclature.md": nomenclature(), "provisional.md": provisional()}
        | {"checks.md": checks()}
    )


def pictures() -> dict[str, bytes]:
    """Pictures of README.md by file name, drawn from the packaged example."""
    comparison = compare(load_text(example_text(), "packaged example"))
    figures = {"income": income_figure, "cross_section": cross_section_figure}
    return {f"{name}.png": image(draw(comparison), "png", PICTURE_DPI) for name, draw in figures.items()}


def main() -> None:
    """Write all of them; the checks of the published tests take a minute or two."""
    record()
    path = ROOT / "README.md"
    path.write_text(readme(path.read_text(encoding="utf-8")), encoding="utf-8")
    for name, text in pages().items():
        (ROOT / "docs" / name).write_text(text, encoding="utf-8")
    for name in PAGES:
        page = ROOT / "docs" / name
        with TemporaryDirectory() as folder:
            page.write_text(refreshed(page.read_text(encoding="utf-8"), Path(folder)), encoding="utf-8")
    for name, content in pictures().items():
        (ROOT / "docs" / "images" / name).write_bytes(content)


if __name__ == "__main__":
    main()
