"""A price table of one's own on top of a packaged one: what it gives counts, the rest is the packaged item."""

from pathlib import Path

import pytest

from simulator.errors import InputError
from simulator.parameters.prices import load_prices
from simulator.scenario.file import load
from workbench.examples import example_text

OWN = """
title = "Prices asked at two yards, invented for this test"
{header}
[sources]
mine = "invented for this test"
[sale]
hay = {{ value = 140.0, unit = "$/ton", source = "mine" }}
[own]
gate = {{ value = 400.0, unit = "$/ac", source = "mine" }}
"""


def written(folder: Path, header: str) -> Path:
    path = folder / "own.toml"
    path.write_text(OWN.format(header=header), encoding="utf-8")
    return path


def test_own_items_stand_before_the_packaged_ones_and_the_rest_is_taken_over(tmp_path: Path) -> None:
    written(tmp_path, 'extends = "demo-2025"')
    own, base = load_prices("own.toml", tmp_path), load_prices("demo-2025")
    assert own.currency_year == base.currency_year
    assert own.value("hay") == 140.0
    assert own.value("gate") == 400.0
    assert set(own.items) == set(base.items) | {"gate"}
    assert {item for item in base.items if own.items[item] != base.items[item]} == {"hay"}
    assert all(entry.source in own.sources for entry in own.items.values())


def test_a_source_key_used_by_both_keeps_both_texts(tmp_path: Path) -> None:
    path = written(tmp_path, 'extends = "demo-2025"')
    path.write_text(path.read_text(encoding="utf-8").replace("mine", "invented"), encoding="utf-8")
    own, base = load_prices("own.toml", tmp_path), load_prices("demo-2025")
    assert own.sources[own.items["hay"].source] == "invented for this test"
    assert own.sources[own.items["calf"].source] == base.sources["invented"]


@pytest.mark.parametrize(
    ("header", "said"),
    [
        ('extends = "demo-1999"', "extends must name a packaged price table"),
        ("extends = 3", "extends must name a packaged price table"),
        ('extends = "demo-2025"\ncurrency_year = 2031', "dollars of 2025"),
    ],
)
def test_a_table_that_cannot_be_extended_is_refused_with_the_reason(tmp_path: Path, header: str, said: str) -> None:
    written(tmp_path, header)
    with pytest.raises(InputError, match=said):
        load_prices("own.toml", tmp_path)


def test_a_scenario_takes_a_short_table_and_a_lacking_one_is_told_how(tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(example_text().replace('"demo-2025"', '"own.toml"'), encoding="utf-8")
    written(tmp_path, 'extends = "demo-2025"')
    assert load(mine).money.price_table == "own.toml"
    path = written(tmp_path, 'extends = "demo-2025"')
    path.write_text(path.read_text(encoding="utf-8").replace("gate = ", "straw_fense = "), encoding="utf-8")
    with pytest.raises(InputError, match=r"gives straw_fense .line 9., .* meant for straw_fence"):
        load(mine)
    used = '\n[[treatment]]\nyear = 1\nitem = "straw_fense"\n'
    used_too = tmp_path / "used.toml"
    used_too.write_text(mine.read_text(encoding="utf-8") + used, encoding="utf-8")
    load(used_too)
    written(tmp_path, "currency_year = 2025")
    with pytest.raises(InputError) as caught:
        load(mine)
    (problem,) = caught.value.problems
    assert "lacks" in problem.rule
    assert 'extends = "demo-2025"' in problem.remedy
