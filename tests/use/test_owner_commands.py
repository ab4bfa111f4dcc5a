"""What an owner meets at the command line: the sale of the land, loans, notes of ``check``, messages."""

import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from simulator.comparison import compare as compare_plans
from simulator.errors import InputError
from simulator.scenario.file import load_text
from workbench.charts import image, income_figure
from workbench.commands.check import check
from workbench.commands.compare import compare
from workbench.commands.run import run
from workbench.enterprise_cash import net_by_enterprise
from workbench.examples import example_text

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
TWO_OTHERS = """
[[other]]
name = "x"
area_share = 0.6
margin_per_ac = 1
[[other]]
name = "y"
area_share = 0.6
margin_per_ac = 1
first_year = 5
"""
OTHER_AND_ITS_HOURS = """
[[other]]
name = "x labour"
area_share = 0.1
margin_per_ac = 1
[[other]]
name = "x"
area_share = 0.1
margin_per_ac = 1
"""


def every_line() -> str:
    """The example with each commented line made to count."""
    return re.sub(r"^# (?=\[|\w+ = )", "", example_text(), flags=re.MULTILINE)


@pytest.fixture
def everything(tmp_path: Path) -> Path:
    path = tmp_path / "mine.toml"
    path.write_text(every_line(), encoding="utf-8")
    return path


def test_the_sale_of_the_land_is_shown_and_documented(everything: Path) -> None:
    shown = CliRunner().invoke(run, [str(everything), "--sell-in", "20"])
    assert shown.exit_code == 0, shown.output
    assert "If the land is sold at the end of year 20" in shown.stdout
    assert "$2,500" in shown.stdout
    document = json.loads(CliRunner().invoke(run, [str(everything), "--sell-in", "20", "--json"]).stdout)
    sale = document["sold_early"]
    worth = sale["trees_per_ac"] + sale["improvements_and_herd_per_ac"] + sale["bare_land_per_ac"]
    expected = sale["cash_present_value_per_ac"] + worth / 1.05**20
    assert sale["npv_per_ac"] == pytest.approx(expected)
    assert "sold_early" not in json.loads(CliRunner().invoke(run, [str(everything), "--json"]).stdout)


def test_a_year_beyond_the_horizon_ends_in_two(halfshade: Halfshade) -> None:
    done = halfshade("run", "--sell-in", "41")
    assert (done.returncode, done.stdout) == (2, "")
    assert "--sell-in" in done.stderr
    assert "within years 1 to 40" in done.stderr


def test_the_document_holds_debts_and_hours(everything: Path) -> None:
    document = json.loads(CliRunner().invoke(compare, [str(everything), "--json"]).stdout)
    for system in document["systems"].values():
        cash = [row["cash_per_ac"] for row in system["years"]]
        after = [row["cash_after_loans_per_ac"] for row in system["years"]]
        assert after[0] - cash[0] == pytest.approx(150.0)
        # the payment of 150 $/ac at 7 % over ten years, from an annuity table: 150 x .142378
        assert [late - early for early, late in zip(cash[1:11], after[1:11], strict=True)] == pytest.approx(
            [-21.3567] * 10, abs=1e-3
        )
        assert after[11:] == cash[11:]
        assert system["deepest_cash_after_loans_per_ac"] <= 0.0
        assert list(system["hours_by_month"]) == ["1-10", "11-20", "21-30", "31-40"]
        assert all(len(months) == 12 for months in system["hours_by_month"].values())
        assert system["years"][40]["value_if_sold_per_ac"] >= 0.0
        months = list(system["hours_by_month"].values())
        total = {month: sum(decade[month] for decade in months) for month in months[0]}
        assert total[system["busiest_month"]] == pytest.approx(max(total.values()))


def test_the_yearly_table_shows_cash_after_loans(everything: Path) -> None:
    shown = CliRunner().invoke(run, [str(everything)]).stdout
    assert re.search(r"cash +after", shown)
    assert "After loans the owner is out" in shown
    assert "The busiest month is" in shown


def test_check_notes_alleys_and_sprays(everything: Path) -> None:
    shown = CliRunner().invoke(check, [str(everything)]).stdout
    assert "42 ft leaves 37 ft of grass, 1.9 passes of a 20-ft sprayer: alleys of 25 or 45 ft are whole passes" in shown
    assert "9-ft mower" not in shown  # 37 ft are four passes and a foot
    assert "triclopyr in year 6 can injure pines" in shown
    document = json.loads(CliRunner().invoke(check, [str(everything), "--json"]).stdout)
    assert len(document["advice"]) == 2


def test_a_spray_near_hay_is_noted_with_the_months_lost(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    spray = '\n[[herbicide]]\nyear = 2\nproduct_class = "hexazinone"\n'
    path.write_text(example_text() + spray, encoding="utf-8")
    shown = CliRunner().invoke(check, [str(path)]).stdout
    assert "hexazinone in year 2: no hay for 60 days, about 2 months of hay lost, one cut at the least" in shown
    assert "the figures count it" in shown
    path.write_text(path.read_text(encoding="utf-8").replace("year = 2\nprod", "year = 9\nprod"), encoding="utf-8")
    assert "no grazing for 60 days" in CliRunner().invoke(check, [str(path)]).stdout


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ('[[herbicide]]\nyear = 2\nproduct_class = "sulfometuron"', "forbids hay on ground sprayed that year"),
        ('[[herbicide]]\nyear = 9\nproduct_class = "sulfometuron"', "forbids grazing on ground sprayed that year"),
        ('[[herbicide]]\nyear = 2\nproduct_class = "triclopir"', 'Did you mean "triclopyr"?'),
        ('[[other]]\nname = "flowers"\narea_share = 0.1', "margin_per_ac or by item"),
        ('[[other]]\nname = "hay"\narea_share = 0.1\nmargin_per_ac = 1', "is a name that is taken"),
        ('[[other]]\nname = "nuts"\narea_share = 0.1\nmargin_per_ac = 1', "is a name that is taken"),
        ('[[payment]]\nname = "a b"\nper_ac = 1\n[[payment]]\nname = "A_b"\nper_ac = 1', "payment[2].name"),
        ('[[payment]]\nname = "a b"\nper_ac = 1\n[[payment]]\nname = "a  b"\nper_ac = 1', "payment[2].name"),
        (OTHER_AND_ITS_HOURS, "other[2].name"),
        ("[[loan]]\nrate = 0.05\nyears = 5\namount = 9\n" * 2, "loan[2].name"),
        ('[[herbicide]]\nyear = 36\nproduct_class = "triclopyr"', "must not be later than 35"),
        ('[[other]]\nname = "x"\narea_share = 0.1\nitem = "burn"', "is not known here"),
        ('[[other]]\nname = "\\u001b[2J"\narea_share = 0.1\nmargin_per_ac = 1', "other[1].name"),
        (TWO_OTHERS, "enterprises of year 5 take 120% of the grass ground"),
        ('[[other]]\nname = "x"\narea_share = 0.1\nmargin_per_ac = 1\nleast_light = 0.5', "below least_light = 0.5"),
        ('[[payment]]\nname = "x"\nper_ac = 1\nfirst_year = 9\nlast_year = 3', "must not be before first_year = 9"),
        ("[income]\ncarbon_years = [9, 3]", "must be a first and a last year"),
        ("[[loan]]\nrate = 0.05\nyears = 5", "must state amount or amount_per_ac"),
        ("[[loan]]\nrate = 5\nyears = 5\namount = 10", "loan[1].rate"),
        ('[[cost_share]]\nline = "planing"\nshare = 0.5', 'Did you mean "planting"?'),
        ('[[cost_share]]\nline = "wage"\nshare = 0.5', "is not known here"),
        ('[[cost_share]]\nline = "tax_and_administration"\nshare = 0.5', "is not known here"),
        ('[[cost_share]]\nline = "seedling_factor_poor"\nshare = 0.5', "is not known here"),
        ('[[cost_share]]\nline = "calf"\nshare = 0.5', "is not known here"),
    ],
)
def test_what_cannot_be_is_said_with_field_and_remedy(table: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        load_text(f"{example_text()}\n{table}\n", "mine.toml")
    said = "\n".join(map(str, caught.value.problems))
    assert says in said
    assert "mine.toml:" in said


def test_sulfometuron_on_the_strips_beside_hay_is_allowed() -> None:
    table = '[[herbicide]]\nyear = 2\nproduct_class = "sulfometuron"\nground = "strips"\n'
    assert load_text(f"{example_text()}\n{table}", "mine.toml").herbicide[0].ground == "strips"


@pytest.mark.parametrize("sale", ["by the ton", "lump sum"])
def test_the_bars_of_the_money_chart_still_add_up_to_the_cash(everything: Path, sale: str) -> None:
    text = everything.read_text(encoding="utf-8").replace('timber_sale = "by the ton"', f'timber_sale = "{sale}"')
    comparison = compare_plans(load_text(text, "mine.toml"), precision="fast")
    for outcome in comparison.systems.values():
        parts = net_by_enterprise(outcome)
        assert parts["other income"].any()
        assert sum(parts.values()) == pytest.approx(outcome.cash_per_ac)
    drawn = image(income_figure(comparison), "svg").decode()
    assert "other income" in drawn
    wood = net_by_enterprise(comparison.systems["silvopasture"])["wood"]
    paid = wood[34] + wood[35] if sale == "lump sum" else wood[35]
    assert f"wood ${paid:,.0f}" in drawn.replace("wood \\$", "wood $")


def test_at_a_rate_of_zero_json_has_null_for_the_land_expectation_value(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(re.sub(r"discount_rate = [.\d]+", "discount_rate = 0.0", example_text()), encoding="utf-8")
    shown = CliRunner().invoke(run, [str(path), "--json"]).stdout
    document = json.loads(shown)
    assert "NaN" not in shown
    assert document["land_expectation_per_ac"] is None
    assert document["equal_annual_income_per_ac"] > 0
    row = next(row for row in CliRunner().invoke(run, [str(path)]).stdout.splitlines() if "Land expectation" in row)
    assert "nan" not in row
