"""The sale of wood as a person meets it: the table of sales, the file, the sentence of a comparison."""

import json
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pandas as pd
import pytest

from workbench.examples import example_text

Halfshade = Callable[..., "CompletedProcess[str]"]
PLAIN = ("year", "cut", "loads", "mean_tree_ton", "left_per_ton", "left_per_ac", "answer", "small", "reason")


def written(folder: Path, sale: str) -> str:
    (folder / "mine.toml").write_text(
        example_text().replace("[straw]", f"[sale]\n{sale}\n[straw]", 1), encoding="utf-8"
    )
    return "mine.toml"


def text_without_trees(text: str) -> str:
    return text[: text.index("[trees]")] + text[text.index("[pasture]") :]


def test_run_tells_every_sale_and_why_one_finds_no_bid(halfshade: Halfshade, tmp_path: Path) -> None:
    file = written(tmp_path, 'pricing = "delivered"\nhaul_miles = 85')
    done = halfshade("run", file)
    assert done.returncode == 0
    assert "Sales of wood, per acre" in done.stdout
    assert "85 miles and moving in" in done.stdout
    assert "Year 16, first thinning: no bid likely: mills pay $" in done.stdout
    assert "wood sold at the mill, 85 miles" in done.stdout


def test_json_and_file_hold_the_same_sales(halfshade: Halfshade, tmp_path: Path) -> None:
    file = written(tmp_path, 'pricing = "delivered"\nhaul_miles = 85\naccess = "dry weather"')
    done = halfshade("run", file, "--json", "--out", "out")
    assert done.returncode == 0
    document = json.loads(done.stdout, parse_constant=pytest.fail)
    table = pd.read_csv(tmp_path / "out" / "sales.csv", keep_default_na=False)
    assert [sale["year"] for sale in document["sales"]] == table["year"].tolist() == [16, 24, 35]
    assert table["answer"].tolist() == ["costs_more", "sold", "sold"]
    assert set(PLAIN) <= set(table.columns)
    assert {"pulpwood_cords_ac", "sawtimber_mbf_doyle_ac", "sawtimber_left_per_ton"} <= set(table.columns)
    for sale, (_, row) in zip(document["sales"], table.iterrows(), strict=True):
        assert sale["left_per_ac"] == pytest.approx(row["left_per_ac"], rel=1e-4)
        assert sale["sawtimber_mbf_doyle_ac"] == pytest.approx(row["sawtimber_mbf_doyle_ac"], rel=1e-4)
    assert sum(document["wood_mix"]["share"].values()) == pytest.approx(1.0)
    assert {"no_bid_at_cost", "dry_weather_access"} <= {warning["code"] for warning in document["warnings"]}


def test_orchards_and_bare_pasture_write_a_table_of_sales_too(halfshade: Halfshade, tmp_path: Path) -> None:
    assert halfshade("init", "--trees", "pecan", "--out", "pecan.toml").returncode == 0
    assert halfshade("run", "pecan.toml", "--out", "nuts").returncode == 0
    nuts = pd.read_csv(tmp_path / "nuts" / "sales.csv")
    assert "salvage_wood_ton_ac" in nuts.columns
    assert "sawtimber_mbf_doyle_ac" not in nuts.columns
    bare = text_without_trees(example_text())
    (tmp_path / "bare.toml").write_text(bare, encoding="utf-8")
    assert halfshade("run", "bare.toml", "--out", "bare").returncode == 0
    table = pd.read_csv(tmp_path / "bare" / "sales.csv")
    assert table.empty
    assert tuple(table.columns) == PLAIN


def test_compare_says_how_wood_moves_up_from_pulpwood(halfshade: Halfshade) -> None:
    document = json.loads(halfshade("compare", "--json").stdout)
    (said,) = (sentence for sentence in document["findings"] if sentence.startswith("Of 100 tons of wood"))
    both, alone = (document["systems"][name]["wood_mix"] for name in ("silvopasture", "plantation"))
    assert f"both together sell {100 * both['share']['pulpwood']:.0f} as pulpwood" in said
    assert f"${both['per_ton']:.0f} against ${alone['per_ton']:.0f}" in said
    assert both["share"]["pulpwood"] < alone["share"]["pulpwood"]
    assert document["systems"]["pasture"]["wood_mix"] is None
    assert document["systems"]["pasture"]["sales"] == []
    assert not any(sentence.startswith("Switch prices") for sentence in document["findings"])
