"""How often hazards strike against what was settled on and what regions report; sources stand in the TOML."""

import tomllib
from pathlib import Path

import pytest

from recording import agree, between, same
from simulator.parameters import odds
from simulator.parameters.hazards import load_events
from simulator.parameters.odds import load_frequencies

CHECKS = tomllib.loads((Path(__file__).parent / "odds.toml").read_text(encoding="utf-8"))
FILE = tomllib.loads((Path(odds.__file__).parent / "odds.toml").read_text(encoding="utf-8"))
TABLES = [(part, name) for part in ("default", "without_any_source") for name in CHECKS[part] if name != "source"]


@pytest.mark.parametrize(("part", "table"), TABLES)
def test_every_number_is_the_one_settled_on_and_owns_up_to_being_assumed(part: str, table: str) -> None:
    assert getattr(load_frequencies(), table)._asdict() == CHECKS[part][table]
    for name, entry in FILE[table].items():
        said = FILE["sources"][entry["source"]]
        assert said.startswith("Assumed for this project"), name
        assert entry.get("provisional") or entry["unit"] == "ft2/ac", name
        assert ("no source" in said) == (part == "without_any_source" and table == "anywhere"), name


def test_ice_at_the_northern_edge_is_as_frequent_as_rings_say() -> None:
    check = CHECKS["ice_in_rings"]
    chance = load_frequencies().ice.of(check["zone"])
    # .03 is the rounded figure
    agree("yearly chance of ice", chance, check["share_of_years"], check, within=0.005)


def test_a_stand_burns_no_oftener_than_whole_regions_and_no_more_rarely() -> None:
    check = CHECKS["burned_land"]
    fire = load_frequencies().wildfire
    assert fire.tamed < fire.rough
    between(
        "yearly chance of wildfire, ground tamed and rough",
        [fire.tamed, fire.rough],
        check["least"],
        check["most"],
        check,
    )


def test_draws_use_the_losses_of_events() -> None:
    check, events = CHECKS["salvage_and_losses"], load_events()
    assert events.wildfire.salvaged_share == events.beetles.salvaged_share == check["local_share"]
    assert events.ice.salvaged_share == events.wind.salvaged_share == check["regional_share"]
    same("draws use the losses of events: wind old loblolly", events.wind.old, check["wind_old_loblolly"], check)
    same("draws use the losses of events: ice young", events.ice.young, check["ice_young"], check)
    same(
        "draws use the losses of events: ice after thinning times",
        events.ice.thinned_factor,
        check["ice_after_thinning_times"],
        check,
    )
    same("draws use the losses of events: fire in rough", events.wildfire.old, check["fire_in_rough"], check)
    agree(
        "lost to fire where fuel is tamed",
        events.wildfire.old * events.fuel.tamed_factor,
        check["fire_tamed"],
        check,
        share=1e-6,
    )
    same("draws use the losses of events: beetles", events.beetles.old, check["beetles"], check)
