"""docs/numerics.md says what its script finds today, and what it finds is as good as is promised."""

import math
import re
import runpy
from pathlib import Path

import pytest

import simulator

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "numerics.md").read_text(encoding="utf-8")
SCRIPT = runpy.run_path(str(ROOT / "docs" / "numerics.py"), run_name="read")
NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


@pytest.mark.parametrize("section", SCRIPT["QUICK"], ids=lambda section: section.__name__)
def test_the_quick_sections_are_of_today(section: object) -> None:
    """Words as they are; numbers to one of the last digit, what is rounding to a power of ten."""
    (today,) = [section()]  # type: ignore[operator]
    heading = today.strip().splitlines()[0]
    written = "\n" + heading + PAGE.partition(heading)[2].partition("\n## ")[0].rstrip("\n") + "\n"
    assert NUMBER.sub("#", written) == NUMBER.sub("#", today)
    for one, other in zip(NUMBER.findall(written), NUMBER.findall(today), strict=True):
        if "e" in one:  # rounding is another in every version of the libraries
            assert abs(math.log10(float(one) / float(other))) < 1.01
        else:
            assert float(one) == pytest.approx(float(other), abs=1.01 * 10.0 ** -len(one.partition(".")[2]))


def test_finer_light_comes_nearer_and_the_tables_keep_their_promise() -> None:
    """Each halving of the sky's steps at least halves the error; tabulated light is within .01 of exact."""
    for heading in ("## Directions of the sky", "## Points across the alley"):
        rows = PAGE.partition(heading)[2].partition("\n## ")[0].splitlines()
        errors = [float(row.split("|")[2]) for row in rows if re.match(r"\| \d", row)]
        assert len(errors) >= 4
        assert errors == sorted(errors, reverse=True)
        assert errors[-1] < errors[0] / 2.0 ** (len(errors) - 1)
    tables = PAGE.partition("## Tabulated light")[2].partition("\n## ")[0]
    assert all(float(row.split("|")[4]) < 0.01 for row in tables.splitlines() if re.match(r"\| [a-z ]+ \| \d", row))


def test_a_share_of_the_directions_is_measured_anew() -> None:
    stand = SCRIPT["stands"](13)["double rows"][1]
    quadrature, months = SCRIPT["Quadrature"], range(4, 11)
    fine = SCRIPT["mean_light"](stand, quadrature(96, 32, 64), months, 31.3)
    ours, coarse = (SCRIPT["mean_light"](stand, q, months, 31.3) for q in (None, quadrature(12, 4, 8)))
    assert abs(ours - fine) < 0.005
    assert abs(ours - fine) < abs(coarse - fine)


def test_single_precision_stays_in_the_tabulated_light() -> None:
    folder = Path(simulator.__file__).parent
    users = {path.name for path in folder.rglob("*.py") if "float32" in path.read_text(encoding="utf-8")}
    assert users == {"fast.py", "rays.py"}
