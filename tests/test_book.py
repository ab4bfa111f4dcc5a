"""The method book: equations have their functions, pages are of today, it builds clean and asks for nothing."""

import importlib.util
import inspect
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import pytest

import recording
from book import checks, equations, formulas, letters, walkthroughs
from book.numbers import number_pages
from book.provisional import provisional
from running import PACKAGES

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
HELD = [equation for chapter in equations.chapters() for equation in chapter.equations]
STEPS = [code for chapter in equations.chapters() for code in chapter.helpers]
CODE = re.compile(r"`((?:simulator|optimize|workbench)(?:\.\w+)+:[\w.]+)`")
PAGES = number_pages() | equations.equation_pages()
PAGES |= {"equations/left-out.md": formulas.left_out_page(), "nomenclature.md": equations.nomenclature()}
PAGES |= {"provisional.md": provisional(), "checks.md": checks.checks()}


def public_functions() -> Iterator[str]:
    """Functions that hold how things grow and what money is worth."""
    from test_architecture import EQUATIONS, _equations, _name  # noqa: PLC0415 - the one list of them

    for path in EQUATIONS:
        module = _name(path).removesuffix(".py").replace("/", ".")
        yield from (f"{module}:{function.name}" for function in _equations(path))


@pytest.mark.parametrize("equation", HELD, ids=lambda equation: equation.code)
def test_an_equation_names_a_function_and_what_its_letters_are_there(equation: equations.Equation) -> None:
    assert callable(letters.function(equation.code))
    for symbol in letters.symbols(equation.code, equation.where):
        assert symbol.meaning or symbol.name == "result", symbol


def test_every_function_of_physics_and_finance_stands_in_the_book() -> None:
    named = [*(equation.code for equation in HELD), *STEPS]
    assert len(named) == len(set(named))
    assert set(public_functions()) - set(named) == set()


@pytest.mark.parametrize("equation", HELD, ids=lambda equation: equation.code)
def test_an_equation_says_in_the_code_what_it_takes_and_gives_and_what_it_rests_on(
    equation: equations.Equation,
) -> None:
    held = letters.function(equation.code)
    said = inspect.getdoc(held) or ""
    taken = {name for name in inspect.signature(held).parameters if name not in {"self", "cls"}}
    heads = re.findall(r"^(\w+(?:, \w+)*)$", said.partition("\nReturns\n")[0], re.MULTILINE)
    assert taken - {name for head in heads for name in head.split(", ")} == set()
    assert re.search(r"^(?:Returns|Yields)\n-+$", said, re.MULTILINE), "does not say what it gives"
    assert re.search(r"^References\n-+\n\S", said, re.MULTILINE), "names no source, nor that there is none"


def test_every_function_that_reckons_stands_in_the_book_or_says_why_not() -> None:
    assert formulas.unaccounted() == set(), "give it TeX in docs/book/equations/, or a reason in left_out.toml there"


def test_what_is_left_out_reckons_and_is_in_no_chapter() -> None:
    found = set(formulas.reckoning())
    left = [code for entry in formulas.left_out() for code in entry.code]
    assert len(left) == len(set(left))
    assert {code for code in left if ":" in code} <= found
    assert {code for code in left if ":" not in code} <= {code.partition(":")[0] for code in found}
    named = formulas.in_the_book()
    assert {code for code in named if code in left or code.partition(":")[0] in left} == set()


@pytest.mark.parametrize(
    ("body", "reckons"),
    [
        ("return a * b", True),
        ("return a / b", True),
        ("return a ** 2", True),
        ("return a @ b", True),
        ("a *= b; return a", True),
        ("return np.exp(a)", True),
        ("return math.hypot(a, b)", True),
        ("return a + b", False),
        ("return 'x' * b", False),
        ("return a / 'name.toml'", False),
    ],
)
def test_a_formula_is_told_from_plumbing(body: str, reckons: bool) -> None:  # noqa: FBT001
    source = f"def one(a, b):\n    {body}\nclass Some:\n    def two(self, a, b):\n        {body}\n"
    assert list(formulas.reckoning_in(source)) == (["one", "Some.two"] if reckons else [])


def test_code_that_a_page_names_is_there() -> None:
    named = {code for path in DOCS.rglob("*.md") for code in CODE.findall(path.read_text(encoding="utf-8"))}
    assert len(named) > 500
    assert all(callable(letters.function(code)) for code in named)


@pytest.mark.parametrize("page", list(PAGES))
def test_a_page_made_from_the_program_is_of_today(page: str) -> None:
    assert (DOCS / page).read_text(encoding="utf-8") == PAGES[page], "run: python docs/refresh.py"


def test_the_record_of_checks_holds_none_that_nobody_makes() -> None:
    """What a test compares is held against the record by the test itself; here the other way round."""
    done = subprocess.run(
        [sys.executable, "-P", "-m", "pytest", "-q", "--collect-only", "-p", "no:cacheprovider", "tests/published"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": PACKAGES, "PYTHONUTF8": "1"},
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    found = (re.match(r"[^:]*?(\w+)\.py(::.+)", line) for line in done.stdout.splitlines())
    listed = {test[1] + test[2] for test in found if test}
    assert {row.test for row in checks.rows()} - listed == set(), "run: python docs/refresh.py"
    assert {row.holds for row in checks.rows()} == {"yes"}


@pytest.mark.parametrize("page", walkthroughs.PAGES)
def test_a_walkthrough_runs_and_shows_what_comes_out(page: str, tmp_path: Path) -> None:
    shown = (DOCS / page).read_text(encoding="utf-8")
    today = walkthroughs.refreshed(shown, tmp_path)
    if os.environ.get("HALFSHADE_REQUIRE_ALL") == "1":
        assert today == shown, "run: python docs/refresh.py"
    # elsewhere another version of numpy may round a last digit
    without = [re.sub(r"\d[\d,.]*|[\s\u2500]+", " ", text) for text in (today, shown)]
    assert without[0] == without[1], "run: python docs/refresh.py"


@pytest.mark.parametrize(
    ("ours", "low", "high", "holds"), [(1.0, 0.5, 1.0, True), (1.01, 0.5, 1.0, False), (9.0, 2.0, None, True)]
)
def test_a_band_that_is_missed_fails_the_test_and_is_kept(ours: float, low: float, high: float, holds: bool) -> None:  # noqa: FBT001
    with recording.comparisons_of("here") as made:
        try:
            recording.between("a thing [ft]", ours, low, high, "nobody")
        except AssertionError:
            assert not holds
    assert [row.holds for row in made] == ["yes" if holds else "no"]


def test_a_difference_beyond_what_is_allowed_fails_the_test() -> None:
    with recording.comparisons_of("here") as made:
        recording.agree("a thing [ft]", [1.0, 2.04], [1.0, 2.0], {"source": "nobody"}, within=0.05)
        with pytest.raises(AssertionError, match=r"a thing \[ft\]"):
            recording.agree("a thing [ft]", [1.0, 2.06], [1.0, 2.0], {"source": "nobody"}, within=0.05)
        with pytest.raises(AssertionError):
            recording.agree("a thing [ft]", float("nan"), 1.0, "nobody", within=0.05)
    assert [(row.published, row.ours, row.difference, row.allowed) for row in made[:1]] == [
        ("1, 2", "1.0, 2.0", "0.04", "0.05")
    ]


# The built book -------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def book(absent: Callable[[str], NoReturn], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The book, built with every warning an error."""
    for needed in ("sphinx", "myst_parser", "furo", "latex2mathml"):
        if importlib.util.find_spec(needed) is None:
            absent(f'there is no {needed} here: python -m pip install ".[docs]"')
    out = tmp_path_factory.mktemp("book")
    done = subprocess.run(
        [sys.executable, "-P", "-m", "sphinx", "-q", "-n", "-W", "--keep-going", "-c", "docs/book", "docs", str(out)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": PACKAGES, "PYTHONUTF8": "1"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return out


def test_the_pages_ask_for_nothing_from_outside(book: Path) -> None:
    """Whatever a browser fetches by itself: scripts, styles, fonts, pictures."""
    fetched = re.compile(
        r"""(?:src|srcset)=["'](?:https?:)?//|<link[^>]+href=["'](?:https?:)?//|url\(["']?(?:https?:)?//"""
    )
    files = [path for ending in ("html", "css") for path in book.rglob(f"*.{ending}")]
    assert len(files) > 25
    assert [path.name for path in files if fetched.search(path.read_text(encoding="utf-8"))] == []


def test_equations_are_set_and_no_tex_is_left(book: Path) -> None:
    for chapter in equations.chapters():
        html = (book / "equations" / f"{chapter.name}.html").read_text(encoding="utf-8")
        assert html.count('class="equation"') == len(chapter.equations)
        assert re.search(r"\$\$|\\[a-zA-Z]", html) is None
        assert re.search(r"<mi>&(?:amp;)?</mi>", html) is None, (
            "a mark of alignment that the converter does not know is set as a letter"
        )


@pytest.mark.parametrize("width", [1280, 390])
def test_pages_fit_and_can_be_read_by_all(book: Path, browser: "Browser", width: int) -> None:
    from browser import violations  # noqa: PLC0415 - only tests of pages pay for it

    asked: list[Any] = []
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.on("request", lambda request: asked.append(request.url) if not request.url.startswith("file:") else None)
    for name in ("index", "equations/growing", "walkthrough-landowner"):
        page.goto((book / f"{name}.html").as_uri())
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name
        assert violations(page) == [], name
    assert asked == []
    page.close()
