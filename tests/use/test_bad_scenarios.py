"""Every way in which a scenario file is known to be wrong is told with its line, its field and what to do.

Expected fields and lines are written down by hand beside each planted mistake; the marker is the text whose line
must be named.
"""

import os
import sys
import tomllib
from importlib import resources
from pathlib import Path
from typing import NamedTuple

import pytest

from simulator.errors import InputError, Problem
from simulator.scenario.file import load, load_text, validate_document
from simulator.scenario.lines import scan_lines
from workbench.examples import Choices, example_text, scenario_text

EXAMPLE = example_text()
BLOCK = scenario_text(Choices(layout="block"))
FIRST = 'year = 16\nmethod = "from below"\nresidual_trees_per_ac = 100'
SECOND = 'year = 24\nmethod = "from below"\nresidual_trees_per_ac = 60'
HARVEST = EXAMPLE[EXAMPLE.index("[harvest]") : EXAMPLE.index("# [[pruning]]")]
TREES = EXAMPLE[EXAMPLE.index("[trees]") : EXAMPLE.index("[pasture]")]


class Mistake(NamedTuple):
    """A text replaced once in a sound scenario, and what must be said of it."""

    old: str
    new: str
    field: str
    marker: str
    says: str
    base: str = EXAMPLE


MISTAKES = {
    "decimal comma": Mistake("= 0.05 ", "= 0,05 ", "money.discount_rate", "0,05", "decimals have a point"),
    "unknown tree": Mistake('"loblolly"', '"lobloly"', "trees.species", '"lobloly"', 'Did you mean "loblolly"?'),
    "unknown grass": Mistake('"bahiagrass"', '"bahia"', "pasture.grass", '"bahia"', "Known: bahiagrass"),
    "unknown animal": Mistake('"cattle"', '"catle"', "use.animals", '"catle"', 'Did you mean "cattle"?'),
    "unknown price": Mistake("# calf", "claf", "money.prices.claf", "claf", 'Did you mean "calf"?'),
    "negative price": Mistake(
        "# calf = 2", "calf = -2", "money.prices.calf", "calf = -2", "below 0 $/lb (received -2.1)"
    ),
    "share above 1": Mistake(
        "# calf = 2.10", "timber_sale_fee = 5", "money.prices.timber_sale_fee", "timber_sale_fee", "from 0 to 1"
    ),
    "unknown price table": Mistake(
        '"demo-2025"', '"demo-2024"', "money.price_table", '"demo-2024"', 'Did you mean "demo-2025"?'
    ),
    "missing price file": Mistake('"demo-2025"', '"no.toml"', "money.price_table", '"no.toml"', "names no file"),
    "price table is a folder": Mistake('"demo-2025"', '"../.toml"', "money.price_table", '"../.toml"', "names no file"),
    "unknown treatment": Mistake(
        "[pasture]", '[[treatment]]\nyear = 2\nitem = "brun"\n[pasture]', "treatment[1].item", '"brun"', '"burn"?'
    ),
    "treatment by the tree": Mistake(
        "[pasture]", '[[treatment]]\nyear = 2\nitem = "pruning"\n[pasture]', "treatment[1].item", 'm = "pru', "$/tree"
    ),
    "treatment that sells": Mistake(
        "[pasture]",
        '[[treatment]]\nyear = 2\nitem = "grazing_lease"\n[pasture]',
        "treatment[1].item",
        'm = "gr',
        "cost",
    ),
    "negative spacing": Mistake(
        "alley_ft = 42", "alley_ft = -42", "trees.layout.alley_ft", "-42", "from 5 to 200 ft (received -42)"
    ),
    "more trees than were planted": Mistake(
        "ac = 100", "ac = 197", "thinning[1].residual_trees_per_ac", "= 197", "(196 an acre)"
    ),
    "more trees than the last left": Mistake(
        "ac = 60", "ac = 101", "thinning[2].residual_trees_per_ac", "= 101", "(100 an acre)"
    ),
    "more trees than the rows leave": Mistake(
        "ac = 260", "ac = 440", "thinning[1].residual_trees_per_ac", "= 440", "one row in 5", BLOCK
    ),
    "thinnings out of order": Mistake("year = 24", "year = 12", "thinning[2].year", "year = 12", "later than"),
    "two thinnings in a year": Mistake(
        SECOND,
        FIRST.replace("100", "60"),
        "thinning[2].year",
        'year = 16\nmethod = "from below"\nresidual_trees_per_ac = 60',
        "another",
    ),
    "thinning after the harvest": Mistake("year = 24", "year = 36", "thinning[2].year", "year = 36", "later than 34"),
    "thinning at the harvest": Mistake(
        "year = 24", "year = 35", "thinning[2].year", "year = 35\nmethod", "later than 34"
    ),
    "pruning after the harvest": Mistake(
        "[pasture]", "[[pruning]]\nyear = 40\nheight_ft = 9\n[pasture]", "pruning[1].year", "year = 40", "later than"
    ),
    "treatment after the harvest": Mistake(
        "[pasture]", '[[treatment]]\nyear = 40\nitem = "burn"\n[pasture]', "treatment[1].year", "year = 40", "than 35"
    ),
    "pruning higher than the tree": Mistake(
        "[pasture]", "[[pruning]]\nyear = 3\nheight_ft = 17\n[pasture]", "pruning[1].height_ft", "= 17", "half the"
    ),
    "pruning higher than a ladder": Mistake(
        "[pasture]",
        "[[pruning]]\nyear = 12\nheight_ft = 31\n[pasture]",
        "pruning[1].height_ft",
        "height_ft = 31",
        "most 30 ft",
    ),
    "pruning lower than before": Mistake(
        "[pasture]",
        "[[pruning]]\nyear = 6\nheight_ft = 9\n[[pruning]]\nyear = 9\nheight_ft = 8.5\n[pasture]",
        "pruning[2].height_ft",
        "8.5",
        "above the 9 ft",
    ),
    "pruning more trees than live": Mistake(
        "[pasture]",
        "[[pruning]]\nyear = 6\nheight_ft = 9\ntrees_per_ac = 198\n[pasture]",
        "pruning[1].trees_per_ac",
        "= 198",
        "196 trees",
    ),
    "missing harvest": Mistake(HARVEST, "", "harvest", "", "Trees are cut some day"),
    "harvest without trees": Mistake(TREES, "[harvest]\nyear = 9\n\n", "harvest", "[harvest]", "without any trees"),
    "both residuals": Mistake(
        "ac = 100",
        "ac = 100\nresidual_basal_area_ft2_ac = 50",
        "thinning[1].residual_basal_area_ft2_ac",
        "area_ft2_ac = 50",
        "Keep one",
    ),
    "neither residual": Mistake("residual_trees_per_ac = 100\n", "", "thinning[1]", "[[thinning]]", "must say what it"),
    "residual beside rows": Mistake(
        FIRST, FIRST.replace("from below", "rows"), "thinning[1].residual_trees_per_ac", "ac = 100", "rows then below"
    ),
    "rows taken twice": Mistake(
        'year = 22\nmethod = "from below"',
        'year = 22\nmethod = "rows then below"',
        "thinning[2].method",
        'method = "rows then below"\nresidual_trees_per_ac = 140',
        "second time",
        BLOCK,
    ),
    "row count without rows": Mistake(
        "ac = 100", "ac = 100\nremove_every_row = 3", "thinning[1].remove_every_row", "remove_every_row = 3", "not go"
    ),
    "rows uneven between sets": Mistake(
        FIRST,
        'year = 16\nmethod = "rows"\nremove_every_row = 2',
        "thinning[1].remove_every_row",
        "remove_every_row = 2",
        "other rows in one set of 3",
        EXAMPLE.replace("rows_in_set = 2", "rows_in_set = 3"),
    ),
    "miles below 0": Mistake(
        "[straw]", "[sale]\nhaul_miles = -5\n[straw]", "sale.haul_miles", "haul_miles = -5", "from 0 to 500 miles"
    ),
    "miles round the world": Mistake(
        "[straw]", "[sale]\nhaul_miles = 24000\n[straw]", "sale.haul_miles", "haul_miles = 24000", "from 0 to 500 miles"
    ),
    "acres of neighbours below 0": Mistake(
        "[straw]", "[sale]\nacres_sold_with = -1\n[straw]", "sale.acres_sold_with", "acres_sold_with = -1", "100,000 ac"
    ),
    "unknown pricing": Mistake(
        "[straw]", '[sale]\npricing = "delivred"\n[straw]', "sale.pricing", '"delivred"', 'mean "delivered"?'
    ),
    "unknown access": Mistake(
        "[straw]", '[sale]\naccess = "dry"\n[straw]', "sale.access", 'access = "dry"', '"dry weather"'
    ),
    "unknown line of the sale": Mistake(
        "[straw]", "[sale]\nhaul_mile = 5\n[straw]", "sale.haul_mile", "haul_mile = 5", 'mean "haul_miles"?'
    ),
    "latitude": Mistake("= 31.3", "= 51.3", "land.latitude_deg", "51.3", "from 24 to 40 degrees north"),
    "site index": Mistake("= 68", "= 300", "land.site_index_ft", "= 300", "from 40 to 110 ft (received 300)"),
    "nan": Mistake("acres = 40", "acres = nan", "land.acres", "acres = nan", "nan and inf are not amounts"),
    "infinity": Mistake("acres = 40", "acres = inf", "land.acres", "acres = inf", "nan and inf are not amounts"),
    "text for a number": Mistake("acres = 40", 'acres = "40"', "land.acres", '"40"', "Take the quotes off"),
    "truth for a number": Mistake("acres = 40", "acres = true", "land.acres", "acres = true", "(received true)"),
    "number for a truth": Mistake("fenced = true", "fenced = 1", "land.fenced", "fenced = 1", "must be true or false"),
    "number for text": Mistake('"sandy loam"', "3", "land.soil", "soil = 3", "must be text in quotes"),
    "broken year": Mistake("year = 16", "year = 16.0", "thinning[1].year", "16.0", "Write 16, without a decimal point"),
    "date for a year": Mistake("year = 16", "year = 2041-01-01", "thinning[1].year", "2041", "must be a whole number"),
    "number of many digits": Mistake(
        "acres = 40", f"acres = {'4' * 400}", "land.acres", "acres = 44", "must be a number"
    ),
    "choice": Mistake('"slow rotation"', '"slow rotaton"', "use.system", '"slow rotaton"', 'mean "slow rotation"?'),
    "unknown key": Mistake("survival =", "survivel =", "trees.survivel", "survivel", 'Did you mean "survival"?'),
    "key of another table": Mistake(
        "soil =", "horizon_years = 9\nsoil =", "land.horizon_years", "horizon_years = 9", "It belongs in [money]"
    ),
    "unknown table": Mistake("[straw]", "[starw]", "starw", "[starw]", 'Did you mean "straw"?'),
    "standing stand": Mistake("[straw]", "[stand]\nage = 20\n[straw]", "stand.class", "[stand]", "is missing"),
    "cut at planting": Mistake("year = 35", "year = 0", "harvest.year", "year = 0", "in year 0 the trees are planted"),
    "sown but there": Mistake(
        "established = true", "sown_year = 1\nestablished = true", "pasture.sown_year", "sown_year", "is established"
    ),
    "single brackets": Mistake(
        EXAMPLE[EXAMPLE.index("[[thinning]]\nyear = 24") : EXAMPLE.index("[harvest]")],
        "",
        "thinning",
        "[thinning]",
        "with double brackets",
        EXAMPLE.replace("[[thinning]]\nyear = 16", "[thinning]\nyear = 16"),
    ),
    "double brackets": Mistake("[harvest]", "[[harvest]]", "harvest", "[[harvest]]", "write [harvest], once"),
    "missing field": Mistake("acres = 40", "", "land.acres", "[land]", "Add it: tract area [ac]"),
    "missing table": Mistake(
        EXAMPLE[EXAMPLE.index("[land]") : EXAMPLE.index("[money]")], "", "land", "", "halfshade init"
    ),
    "hay years reversed": Mistake("[1, 4]", "[3, 1]", "use.hay_years", "[3, 1]", "runs backwards"),
    "hay before planting": Mistake("[1, 4]", "[-1, 3]", "use.hay_years", "[-1, 3]", "years 1 to 120"),
    "hay after the harvest": Mistake("[1, 4]", "[36, 37]", "use.hay_years", "[36, 37]", "harvest in year 35"),
    "one hay year": Mistake("[1, 4]", "[1]", "use.hay_years", "[1]", "a list of 2 whole numbers"),
    "no hay year": Mistake("[1, 4]", "[]", "use.hay_years", "[]", "a list of 2 whole numbers"),
    "three hay years": Mistake("[1, 4]", "[1, 2, 3]", "use.hay_years", "[1, 2, 3]", "a list of 2 whole numbers"),
    "grazing without animals": Mistake(
        '"cattle"', '"none"', "use.first_grazing_year", "first_grazing_year", 'animals = "none"'
    ),
    "animals without a year": Mistake(
        "first_grazing_year = 4", "", "use.first_grazing_year", "[use]", "is missing beside"
    ),
    "grazing after the harvest": Mistake(
        "first_grazing_year = 4", "first_grazing_year = 36", "use.first_grazing_year", "= 36", "harvest in year 35"
    ),
    "herd bounds crossed": Mistake(
        "# least_head = 0", "least_head = 20\nmost_head = 10", "use.most_head", "most_head = 10", "least_head = 20"
    ),
    "straw after the harvest": Mistake(
        "market = false", "market = true\nfirst_rake_year = 35", "straw.first_rake_year", "rake_year = 35", "than the"
    ),
    "straw never raked": Mistake(
        "market = false", "market = true\nmost_rakes = 0", "straw.most_rakes", "most_rakes = 0", "there is a market"
    ),
    "straw without trees": Mistake(
        TREES,
        "",
        "straw.market",
        "market = true",
        "without any trees",
        EXAMPLE.replace("market = false", "market = true"),
    ),
    "negative real rate": Mistake(
        "discount_rate = 0.05",
        'discount_rate = 0.02\nrate_basis = "nominal"\ninflation = 0.05',
        "money.discount_rate",
        "discount_rate = 0.02",
        "the real rate would be -2.9%",
    ),
    "rate in per cent": Mistake("rate = 0.05", "rate = 5", "money.discount_rate", "rate = 5", "0.05 is 5 %"),
    "nitrogen by no year": Mistake(
        "ac = 80", "ac = { spring = 3 }", "pasture.nitrogen_lb_ac.spring", "spring", "years"
    ),
    "nitrogen below 0": Mistake("ac = 80", "ac = -80", "pasture.nitrogen_lb_ac", "-80", "from 0 to 500 lb/ac"),
    "nitrogen as text": Mistake("ac = 80", 'ac = "80"', "pasture.nitrogen_lb_ac", '"80"', "a number or a table"),
    "nitrogen text in a table": Mistake("ac = 80", 'ac = { 1 = "a" }', "pasture.nitrogen_lb_ac.1", '"a"', "a number"),
    "later format": Mistake("format = 1", "format = 2", "format", "format = 2", "must be 1"),
    "broken format": Mistake("format = 1", "format = 1.0", "format", "format = 1.0", "must be 1"),
    "missing format": Mistake("format = 1", "", "format", "", "Write format = 1"),
    "land in a baseline": Mistake(
        "[straw]", "[baseline.pasture.land]\nacres = 3\n[straw]", "baseline.pasture.land", "[baseline.p", "cannot be"
    ),
    "unknown key in a baseline": Mistake(
        "[straw]",
        "[baseline.plantation.harvest]\nyaer = 3\n[straw]",
        "baseline.plantation.harvest.yaer",
        "yaer",
        "year",
    ),
    "unknown grass in a baseline": Mistake(
        "[straw]",
        '[baseline.pasture.pasture]\ngrass = "bahai"\n[straw]',
        "baseline.pasture.pasture.grass",
        '"bahai"',
        "bahiagrass",
    ),
    "incomplete thinning in a baseline": Mistake(
        "[straw]",
        '[[baseline.plantation.thinning]]\nmethod = "rows"\n[straw]',
        "baseline.plantation.thinning[1].year",
        "[[baseline.plantation.thinning]]",
        "is missing",
    ),
    "unknown baseline": Mistake(
        "[straw]", "[baseline.crop]\n[straw]", "baseline.crop", "[baseline.crop]", "Known here"
    ),
    "duplicate key": Mistake(
        "latitude_deg =", "acres = 30\nlatitude_deg =", "land.acres", "acres = 30", "stands twice, first on line"
    ),
    "duplicate table": Mistake("[straw]", "[land]\n[straw]", "land", "[land]\n[straw]", "stands twice, first on line"),
    "missing quotes": Mistake('"loblolly"', "loblolly", "trees.species", "= loblolly", "Text goes in quotes"),
    "unclosed list": Mistake("[1, 4]", "[1, 3", "use.hay_years", "hay_use =", "cannot be read as TOML"),
}


def problems_of(text: str) -> list[Problem]:
    with pytest.raises(InputError) as caught:
        load_text(text, "field.toml")
    return caught.value.problems


def line_of(marker: str, text: str) -> int | None:
    return text.count("\n", 0, text.index(marker)) + 1 if marker else None


@pytest.mark.parametrize("mistake", MISTAKES.values(), ids=MISTAKES.keys())
def test_one_planted_mistake_is_named(mistake: Mistake) -> None:
    assert mistake.old in mistake.base
    text = mistake.base.replace(mistake.old, mistake.new, 1)
    found = [problem for problem in problems_of(text) if problem.field == mistake.field]
    assert len(found) == 1
    assert mistake.says in str(found[0])
    assert found[0].file == "field.toml"
    if mistake.marker:
        assert found[0].line == line_of(mistake.marker, text)


def test_five_mistakes_are_told_at_once_in_the_order_of_their_lines() -> None:
    text = EXAMPLE
    planted = (
        ("acres = 40", "acres = -1", "land.acres"),
        ('"loblolly"', '"lobloly"', "trees.species"),
        ("alley_ft = 42", 'alley_ft = "wide"', "trees.layout.alley_ft"),
        ("year = 24", "year = 60", "thinning[2].year"),
        ("[1, 4]", "[3, 1]", "use.hay_years"),
        ('"slow rotation"', '"slow"', "use.system"),
        ("market =", "marked =", "straw.marked"),
    )
    for old, new, _ in planted:
        text = text.replace(old, new, 1)
    problems = problems_of(text)
    assert [problem.field for problem in problems] == [field for _, _, field in planted]
    assert [problem.line for problem in problems] == [line_of(new, text) for _, new, _ in planted]


def test_lines_that_are_not_toml_do_not_hide_the_mistakes_below() -> None:
    text = EXAMPLE
    planted = (
        ("latitude_deg =", "acres = 30\nlatitude_deg =", "land.acres", "acres = 30"),
        ('= "loblolly"', "= loblolly", "trees.species", "= loblolly"),
        ("alley_ft = 42", "alley_ft = 3", "trees.layout.alley_ft", "alley_ft = 3 "),
        (
            "[harvest]                # final harvest; the cycle then starts again\nyear = 35",
            "[harvest]\nyear = 3S",
            "harvest.year",
            "= 3S",
        ),
        ('"cattle"', "cattle", "use.animals", "= cattle"),
        ("first_grazing_year = 4", "first_grazing_year = four", "use.first_grazing_year", "four"),
        ("market = false", "market = no", "straw.market", "market = no"),
    )
    for old, new, _, _ in planted:
        assert old in text
        text = text.replace(old, new, 1)
    problems = problems_of(text)
    assert [problem.field for problem in problems] == [field for _, _, field, _ in planted]
    assert [problem.line for problem in problems] == [line_of(marker, text) for _, _, _, marker in planted]


def test_a_field_of_a_merged_baseline_is_located_by_the_caller() -> None:
    document = {"format": 1, "land": {"acres": -1, "latitude_deg": 31, "site_index_ft": 60}}
    with pytest.raises(InputError) as caught:
        validate_document(document, lambda path: 7 if path == ("land", "acres") else None, "plantation", None)
    assert [(problem.field, problem.line) for problem in caught.value.problems] == [("money", None), ("land.acres", 7)]


@pytest.mark.parametrize(
    ("content", "says", "line"),
    [
        (b"", "is empty", None),
        (b"# nothing but a comment\n\n", "is empty", None),
        (bytes(range(256)) * 4, "is not a text file", None),
        (b"\x7fELF\x02\x01\x01\x00" + bytes(64), "is not a text file", None),
        (EXAMPLE.encode("utf-16"), "UTF-16", None),
        (EXAMPLE.encode("utf-16-be"), "UTF-16", None),
        (b"format = 1\ntitle = 'caf\xe9'\n", "is not UTF-8 text (received byte 0xe9)", 2),
        (b"x = 1\n" * 200_000, "larger than 1 MB", None),
        (b"title = " + b"[" * 5000 + b"]" * 5000, "too deep", None),
        (b"title = " + b"9" * 5000, "more digits", None),
        (b'\n{"type": "Feature"}\n', "looks like JSON, such as a map. Choose the file", None),
        (b"plot,species,dbh_in\n1,slash,9.6\n", "looks like a table of comma-separated rows", None),
    ],
    ids=[
        "empty",
        "comment",
        "binary",
        "program",
        "utf-16",
        "utf-16-be",
        "latin-1",
        "big",
        "deep",
        "digits",
        "map",
        "table",
    ],
)
def test_a_file_that_is_no_scenario_at_all(tmp_path: Path, content: bytes, says: str, line: int | None) -> None:
    path = tmp_path / "field.toml"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        load(path)
    (problem,) = caught.value.problems
    assert says in str(problem)
    assert (problem.file, problem.line) == (str(path), line)


def test_a_byte_order_mark_and_the_line_ends_of_windows_are_accepted(tmp_path: Path) -> None:
    path = tmp_path / "field.toml"
    path.write_bytes(EXAMPLE.replace("\n", "\r\n").encode("utf-8-sig"))
    assert load(path) == load_text(EXAMPLE, "example")


@pytest.mark.skipif(os.name != "posix", reason="pipes and sockets have names only on POSIX")
def test_what_is_not_an_ordinary_file_is_refused_without_waiting(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    loop = tmp_path / "loop.toml"
    loop.symlink_to(loop)
    cases = {
        tmp_path / "none.toml": "does not exist",
        tmp_path: "is a folder",
        pipe: "is not an ordinary file",
        loop: "cannot be read",
        tmp_path / "nul\0.toml": "cannot be read",
        tmp_path / ("long" * 100): "cannot be read",
    }
    for path, says in cases.items():
        with pytest.raises(InputError, match=says):
            load(path)


@pytest.mark.skipif(sys.platform != "linux", reason="needs a file whose rights allow opening and whose reading fails")
def test_a_file_that_cannot_be_read() -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load("/proc/self/mem")


def test_a_price_table_of_ones_own_is_checked(tmp_path: Path) -> None:
    packaged = resources.files("price_tables").joinpath("demo-2025.toml").read_text(encoding="utf-8")
    own = packaged.replace("calf = {", "calves = {").replace('110.0, unit = "$/ton"', '110.0, unit = "$/bale"')
    (tmp_path / "own.toml").write_text(own, encoding="utf-8")
    (tmp_path / "bare.toml").write_text("currency_year = 2025\n[sale]\nhay = 3\n", encoding="utf-8")
    (tmp_path / "odd.toml").write_text(f"currency_year = 2025\nx = {'[' * 5000}", encoding="utf-8")
    for name, says in {
        "odd.toml": ["not laid out"],
        "own.toml": ["hay in $/bale", "lacks calf in $/lb"],
        "bare.toml": ["cannot be read"],
    }.items():
        path = tmp_path / "field.toml"
        path.write_text(EXAMPLE.replace("demo-2025", name), encoding="utf-8")
        with pytest.raises(InputError) as caught:
            load(path)
        assert {problem.field for problem in caught.value.problems} == {"money.price_table"}
        assert all(any(part in str(problem) for problem in caught.value.problems) for part in says)
    path.write_text(EXAMPLE.replace("demo-2025", "good.toml"), encoding="utf-8")
    (tmp_path / "good.toml").write_text(packaged, encoding="utf-8")
    assert load(path).money.price_table == "good.toml"


@pytest.mark.parametrize(
    ("text", "path", "line"),
    [
        ("# c\n\n[a]\nx = 1\n", ("a", "x"), 4),
        ("[a] # b = 2\n'x' = '#'\n\"y z\" = 1\n", ("a", "y z"), 3),
        ("[[t]]\ny = 1\n[[t]]\n# y = 3\ny = 2\n", ("t", 1, "y"), 5),
        ("[[t]]\n[t.u]\ny = 1\n[[t]]\n[t.u]\ny = 2\n", ("t", 1, "u", "y"), 6),
        ("a.b.c = 1\na.b.d = 2\n", ("a", "b", "d"), 2),
        ("a = [\n 1, # one ]\n 2,\n]\nb = 3\n", ("b",), 5),
        ("a = [\n 1, # one ]\n 2,\n]\nb = 3\n", ("a", 1), 3),
        ("a = { b = { c = 1 }, d = [1, 2] }\ne = 3\n", ("a", "d"), 1),
        ("t = [ { y = 1 },\n { y = 2 } ]\n", ("t", 1, "y"), 2),
        ('a = """\nb = 1\n\\"""\n"""\nb = 2\n', ("b",), 5),
        ("a = '''\nb = 1\n'''\nb = 2\n", ("b",), 4),
        ("[a]\nx = 1\n", ("a", "missing"), 1),
        ("x = 1\n", ("missing",), None),
    ],
)
def test_the_line_of_a_key(text: str, path: tuple[str | int, ...], line: int | None) -> None:
    tomllib.loads(text)
    assert scan_lines(text).locate(path) == line
