"""Bad input that once ended in a traceback, a hang or words that nobody could use; one test for each."""

import os
from pathlib import Path

import pytest

from cut_short import stopped_short
from optimize.sweeps.run import sweep
from promises import Answer, ask, lay_out
from seeds import CRUISE, FACTORS, FULL, OUTLINE, PRICES, PROPERTY, SHORT, STAND
from sweeping import ALLEY, factors_text, swept, written
from workbench.examples import price_table_text


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    lay_out(tmp_path)
    return tmp_path


def refused(*arguments: str) -> Answer:
    with stopped_short():
        answer = ask(arguments)
    assert answer.code == 2, answer.stderr
    return answer


def of_factors(old: str, new: str) -> str:
    assert old in FACTORS
    Path("factors.toml").write_text(FACTORS.replace(old, new, 1), encoding="utf-8")
    return refused("sweep", "field.toml", "factors.toml", "--out", "o").stderr


def of_prices(old: str, new: str) -> str:
    assert old in PRICES
    Path("own.toml").write_text(PRICES.replace(old, new, 1), encoding="utf-8")
    return refused("check", "priced.toml").stderr


def test_a_price_with_a_mean_but_no_distribution_is_refused() -> None:
    said = of_factors('distribution = "normal"\n', "")
    assert "factors.toml:32: factor[5].mean: is no number of a uniform distribution" in said
    assert 'Write distribution = "normal"' in said


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("mean = 110.0", "mean = 110.0\nlow = 1e6\nhigh = 2e6", "makes no numbers of its normal distribution"),
        ("spread = 1.3", "spread = 1.3\nhigh = -1.0", "must be above 0 in a log-normal distribution"),
        ('"uniform"', '"log-uniform"\nname = "a"', None),
        ("low = 30.0\nhigh = 60.0", "low = -1e308\nhigh = 1e308", "makes no numbers of its uniform distribution"),
    ],
)
def test_a_distribution_whose_values_are_not_finite_is_refused(old: str, new: str, says: str | None) -> None:
    if says is None:
        Path("factors.toml").write_text(FACTORS.replace(old, new, 1), encoding="utf-8")
        with stopped_short():
            assert ask(("sweep", "field.toml", "factors.toml", "--out", "o")).code == 0
    else:
        assert says in of_factors(old, new)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('{ value = 40.0, unit = "$/ac", source = "invented" }', "40", 'own.browse: must be written { value = 1.5'),
        ('unit = "$/lb", ', "", "own.toml:8: sale.calf: lacks unit"),
        ("value = 2.0", 'value = "2"', 'own.toml:8: sale.calf: value must be a number, or a list of numbers, is "2"'),
        ("value = 2.0", "value = true", "own.toml:8: sale.calf: value must be a number, or a list of numbers, is true"),
        ("value = 2.0", "value = nan", "own.toml:8: sale.calf: value: must be a finite number"),
        ("low = 80.0", "lowest = 80.0", 'own.toml:7: sale.hay: has "lowest", which is none of value, unit'),
        ("low = 80.0", "low = 120.0", "own.toml:7: sale.hay: the range: value 100.0 lies outside 120.0..150.0"),
        ('source = "invented" }\n[own]', 'source = "heard" }\n[own]', 'own.toml:9: sale.timber_sale_fee: source "h'),
        ('title = "Own prices"', "title = 5", "own.toml:1: title: must be text, is 5"),
        ('invented = "invented for a test"', "invented = 1", "own.toml:5: sources.invented: must be text, is 1"),
        ("currency_year = 2025", "currency_year = 2024", "own.toml:3: currency_year is 2024, but demo-2025 is in"),
        ("value = 2.0", "value = 2,0", "own.toml:8: cannot be read as TOML at column 21: "),
        ("[own]", "[own", "own.toml:10: cannot be read as TOML at column 5: "),
        ('", low = 80.0', ', low = 80.0', "own.toml:7: cannot be read as TOML at "),
        ("value = 2.0", f"value = {'9' * 5000}", "own.toml:8: has a number with thousands of digits"),
        ("currency_year = 2025", "currency_year = true", "own.toml:3: currency_year must be a whole year, is true"),
        ("value = 2.0", "value = -2.0", "must give calf as one number from 0 to 1e+06 $/lb (line 8)"),
        ("value = 2.0", "value = $2", "Text goes in quotes, decimals have a point"),
        ("value = 2.0", "value = $2", 'in calf = { value = $2, unit = "$/lb"'),
        ("value = 2.0", 'value = "2"', "Mend it in that file"),
        ("calf = {", "calff = {", "gives calff (line 8), which nothing asks for and which may be meant for calf"),
        ('invented = "invented for a test"', 'invented = " "', "own.toml:5: sources.invented: must say where numbers"),
        ('100.0, unit = "$/ton"', '100.0, unit = "$/bale"', "gives hay in $/bale (line 7); it must be in $/ton"),
    ],
)  # fmt: skip
def test_a_price_table_is_told_of_with_the_line_of_its_entry(old: str, new: str, says: str) -> None:
    said = of_prices(old, new)
    assert says in said
    assert "Input should" not in said


def test_a_price_table_of_many_megabytes_or_in_utf_16_is_not_read() -> None:
    Path("own.toml").write_text("# " + "x" * 2_000_000 + PRICES, encoding="utf-8")
    assert "own.toml: is larger than 1 MB" in refused("check", "priced.toml").stderr
    Path("own.toml").write_text(PRICES, encoding="utf-16")
    assert "own.toml: is UTF-16 text" in refused("check", "priced.toml").stderr
    Path("own.toml").write_bytes(PRICES.encode().replace(b"Own prices", b"caf\xe9"))
    assert "own.toml:1: is not UTF-8 text" in refused("check", "priced.toml").stderr


def test_a_cruise_without_heights_names_its_file() -> None:
    Path("tally.csv").write_text(CRUISE.replace(",52,", ",,").replace(",57,", ",,"), encoding="utf-8")
    without = "\n".join(",".join([*line.split(",")[:3], ""]) for line in CRUISE.splitlines()[1:])
    Path("tally.csv").write_text("plot,species,dbh_in,height_ft\n" + without, encoding="utf-8")
    assert "tally.csv: height_ft: no tree has a height" in refused("cruise", "tally.csv", "--plot-acres", "0.1").stderr


def test_an_outline_says_what_it_received_as_it_stands_in_the_file() -> None:
    for old, new, says in (
        ('"type": "Polygon", ', "", "feature 1: type: is missing. Write one of"),
        ('"type": "Polygon"', '"type": null', "feature 1: type: is no shape of GeoJSON (received null)"),
        ('"use": "field"', '"use": true', "feature 1: use: is not known (received true)"),
        ('"width_ft": 6', '"width_ft": false', "width_ft: must be a number above 0 and below 10,000 (received false)"),
    ):
        assert old in OUTLINE
        Path("outline.geojson").write_text(OUTLINE.replace(old, new, 1), encoding="utf-8")
        assert says in refused("layout", "--field", "outline.geojson").stderr


def test_a_tract_whose_scenario_has_a_name_too_long_for_a_file_does_not_exist() -> None:
    Path("property.toml").write_text(PROPERTY.replace('"field.toml"', f'"{"w" * 3000}"', 1), encoding="utf-8")
    assert "property.toml:6: tract[1].scenario: does not exist" in refused("property", "property.toml").stderr


def test_fields_without_room_for_a_tree_are_refused() -> None:
    """The smallest float was an area, and the least charge of a burn for it was infinite."""
    Path("b.toml").write_text(FULL.replace("acres = 40\n", "acres = 5e-324\n"), encoding="utf-8")
    assert "b.toml:6: land.acres: must be a number from 0.01 to 100,000 ac" in refused("run", "b.toml").stderr


def test_a_refusal_leaves_no_empty_folder_behind(folder: Path) -> None:
    Path("outline.geojson").write_text("{}", encoding="utf-8")
    refused("layout", "--field", "outline.geojson", "--out", "new/deep")
    refused("report", "field.toml", "--field", "outline.geojson", "--out", "new/deep")
    assert not (folder / "new").exists()
    (folder / "there").mkdir()
    refused("layout", "--field", "outline.geojson", "--out", "there")
    assert (folder / "there").is_dir()


@pytest.mark.parametrize("command", ["sweep", "odds"])
def test_where_nobody_watches_no_bar_leaves_an_empty_line_among_messages(command: str) -> None:
    Path("factors.toml").write_text("format = 2", encoding="utf-8")
    Path("bad.toml").write_text("format = 2", encoding="utf-8")
    arguments = ("sweep", "field.toml", "factors.toml", "--out", "o") if command == "sweep" else ("odds", "bad.toml")
    assert "" not in refused(*arguments).stderr.splitlines()


def test_the_folder_of_a_sweep_that_a_hand_was_in_is_refused(folder: Path) -> None:
    here = swept(folder / "sweep", factors_text(ALLEY)).folder
    manifest, part = here / "manifest.json", next((here / "results").glob("*.parquet"))
    sound, result = manifest.read_bytes(), part.read_bytes()
    for damaged, says in (
        (b"{", "manifest.json:1: is no JSON any more"),
        (b"[" * 100_000, "manifest.json: is no JSON any more"),
        (b"[]", "is not as a sweep writes it"),
        (sound.replace(b'"tasks"', b'"tusks"'), "manifest.json: tasks: is not as a sweep writes it"),
        (sound.replace(b'"code_sha256"', b'"code"'), "halfshade.code_sha256: is not as a sweep writes it"),
    ):
        manifest.write_bytes(damaged)
        assert says in refused("sensitivity", str(here)).stderr
    manifest.write_bytes(sound)
    for damaged in (b"", b"PAR1", result[: len(result) // 2], bytes(len(result))):
        part.write_bytes(damaged)
        told = refused("sensitivity", str(here)).stderr
        assert "part-000000.parquet: is not as the sweep of out/manifest.json has written it" in told
    manifest.unlink()
    os.mkfifo(manifest)
    assert "is not the folder of a sweep" in refused("sensitivity", str(here)).stderr


def test_a_sweep_with_a_price_table_from_an_editor_that_marks_utf8_is_worked_up(folder: Path) -> None:
    """The mark stands in the kept copy, and in its digest, but not in the text that was compared with them."""
    here = folder / "sweep"
    files = written(here, factors_text(ALLEY), SHORT.replace('price_table = "demo-2025"', 'price_table = "own.toml"'))
    (here / "own.toml").write_bytes(b"\xef\xbb\xbf" + price_table_text().encode())
    out = sweep(*files, here / "out").folder
    arguments = ("sensitivity", str(out), "--no-break-even")
    assert ask(arguments).code == 0
    (out / "own.toml").unlink()
    told = refused(*arguments).stderr
    assert "own.toml: does not exist" in told
    assert "which puts it back" in told


def test_a_link_of_prices_that_do_not_move_is_refused() -> None:
    """The matrix of no prices has no eigenvalues."""
    text = FULL[: FULL.index("[[price_path]]")] + FULL[FULL.index("[[price_link]]") :]
    Path("b.toml").write_text(text, encoding="utf-8")
    line = text[: text.index("items = ")].count("\n") + 1
    said = refused("check", "b.toml").stderr
    assert f'b.toml:{line}: price_link[1].items: names "sawtimber", which has no [[price_path]]' in said


def test_a_page_is_not_started_with_a_plan_that_it_would_not_open() -> None:
    """Commands read a line of any length, a page does not, and said so only once it was open."""
    Path("long.toml").write_text(f"{SHORT}\n# {'x' * 20_000}\n", encoding="utf-8")
    line = SHORT.count("\n") + 2
    said = refused("page", "long.toml", "--port", "0", "--no-browser").stderr
    assert f"long.toml:{line}: is longer than 20,000 letters" in said


def test_no_timber_that_was_paid_for_is_refused() -> None:
    """What was paid was divided by the smallest float."""
    Path("b.toml").write_text(STAND.replace("timber_basis_ton = 2000.0", "timber_basis_ton = 5e-324"), encoding="utf-8")
    assert "tax.timber_basis_ton: must be a number from 0.01 to" in refused("check", "b.toml").stderr


def test_an_outline_that_is_no_json_says_on_which_line() -> None:
    Path("outline.geojson").write_text(OUTLINE.replace('"use": "pond",', '"use" "pond",'), encoding="utf-8")
    line = OUTLINE[: OUTLINE.index('"use": "pond"')].count("\n") + 1
    assert f"it cannot be read from line {line}, character" in refused("layout", "--field", "outline.geojson").stderr
