"""Every comparison of these tests stands in the book: see recording.py."""

from collections import defaultdict
from collections.abc import Generator, Iterator
from functools import cache
from pathlib import Path

import pytest

import recording
from book import checks

PASSED = pytest.StashKey[bool]()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--record", metavar="FILE", help="write what tests/published compares to a CSV")


@cache
def _in_the_book() -> dict[str, list[recording.Comparison]]:
    by_test: dict[str, list[recording.Comparison]] = defaultdict(list)
    for comparison in checks.rows():
        by_test[comparison.test].append(comparison)
    return dict(by_test)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Remember whether the test itself went through: one that failed or was skipped has not compared all."""
    report = yield
    if report.when == "call":
        item.stash[PASSED] = report.passed
    return report


@pytest.fixture(autouse=True)
def _stands_in_the_book(request: pytest.FixtureRequest) -> Iterator[None]:
    """Keep what the test compares; in a plain run docs/checks.csv must hold just that."""
    name = f"{request.path.stem}::{request.node.name}"
    with recording.comparisons_of(name) as made:
        yield
    if destination := request.config.getoption("--record", default=None):
        recording.write(Path(destination), made)
    elif request.node.stash.get(PASSED, False):
        known = _in_the_book().get(name, [])
        same = len(known) == len(made) and all(map(recording.alike, known, made))
        assert same, "docs/checks.csv is of another day; run: python docs/refresh.py"
