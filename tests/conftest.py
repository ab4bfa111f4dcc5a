"""What every test shares: repeatable property tests, and one line for what this machine lacks."""

import os
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, NoReturn

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# The same examples on every run and no time limit on one of them: a slow machine or an unlucky draw fails nobody's
# installation. Search for new examples with --hypothesis-profile=default.
settings.register_profile("halfshade", derandomize=True, deadline=None)
settings.load_profile("halfshade")


@pytest.fixture(scope="session")
def absent() -> Callable[[str], NoReturn]:
    """Say what is missing: the test is skipped, or fails where HALFSHADE_REQUIRE_ALL=1 says all has to be there."""

    def report(what: str) -> NoReturn:
        if os.environ.get("HALFSHADE_REQUIRE_ALL") == "1":
            pytest.fail(f"HALFSHADE_REQUIRE_ALL=1, but {what}", pytrace=False)
        pytest.skip(what)

    return report


@pytest.fixture(scope="module")
def browser(absent: Callable[[str], NoReturn]) -> "Iterator[Browser]":
    """One headless Chromium for the tests of a file: it keeps a loop running that other files must not meet."""
    from browser import chromium  # noqa: PLC0415 - only tests of pages pay for it

    with chromium(absent) as started:
        yield started
