"""What every test shares: repeatable property tests, and one line for what this machine lacks."""

import os
from collections.abc import Callable
from typing import NoReturn

import pytest
from hypothesis import settings

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
