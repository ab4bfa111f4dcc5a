"""A sound file of every kind that a command reads, as full as it can be, and the commands that read it.

Everything in them is invented. Tests damage these files and hold each command to what it promises about bad input.
"""

import re
import tomllib
from importlib import resources
from typing import NamedTuple

from workbench.examples import example_text, stand_example_text

MAIN = "field.toml"
"""Scenario beside the other files."""

FULL = """\
format = 1
title = "Every table"
[report]
client = "Nobody"
[land]
acres = 40
latitude_deg = 31.3
site_index_ft = 68
former_use = "pasture"
site_culture = 1.0
soil = "sandy loam"
fenced = true
fence_life_years = 20.0
tax_trees_per_ac = 3.0
tax_grass_per_ac = 3.0
rent_paid_per_ac = 1.0
bare_land_price_per_ac = 1500.0
[land.ground]
alley_ac = 28.0
tree_strip_ac = 8.0
headland_ac = 2.0
unusable_ac = 2.0
edge_row_share = 0.1
trees_ordered = 8000
[money]
discount_rate = 0.05
rate_basis = "real"
inflation = 0.0
price_table = "demo-2025"
horizon_years = 40
value_at_end = true
pay_labour = true
timber_sale = "by the ton"
[money.prices]
calf = 2.1
[climate]
afternoon_temperature_f = [60, 63, 70, 77, 84, 89, 91, 91, 87, 79, 70, 62]
relative_humidity = [0.55, 0.52, 0.5, 0.48, 0.5, 0.55, 0.6, 0.6, 0.58, 0.52, 0.52, 0.55]
[trees]
species = "loblolly"
stock = "bareroot seedlings"
survival = 0.9
crown_width_multiplier = 1.0
replant_below = 0.5
volunteers_per_ac = 0.0
control_volunteers = true
rip = true
site_index_ft = 68.0
genetics = "unimproved"
weed_control = true
rust_infected_share = 0.1
[trees.layout]
rows_in_set = 2
row_gap_ft = 8
in_row_ft = 8
alley_ft = 42
row_azimuth_deg = 0.0
[[thinning]]
year = 16
method = "rows then below"
residual_trees_per_ac = 90.0
remove_every_row = 2
[[thinning]]
year = 24
method = "from below"
residual_basal_area_ft2_ac = 30.0
[[pruning]]
year = 6
height_ft = 9.0
trees_per_ac = 100.0
[harvest]
year = 35
[[treatment]]
year = 2
item = "burn"
share = 0.5
[pasture]
grass = "bahiagrass"
nitrogen_lb_ac = 80.0
yield_multiplier = 1.0
established = true
sown_year = 0
overseeded = "ryegrass"
overseeded_from_year = 5
overseeded_nitrogen_lb_ac = 60.0
[pasture.switch]
grass = "native-mix"
year = 20
[use]
hay_years = [1, 4]
hay_use = "sold"
first_grazing_year = 5
never_grazed = false
hay_storage = "inside"
hay_feeding = "rack"
tree_safe_height_ft = 8.0
animals = "cattle"
system = "slow rotation"
tenure = "owned"
least_head = 0
most_head = 100
herd_change_share = 0.25
displaced_herd = "sold"
[straw]
market = true
first_rake_year = 8
interval_years = 2
most_rakes = 3
temporary_fence = false
[income]
hunting_lease = true
carbon_payment_per_ac_yr = 5.0
carbon_years = [1, 20]
[[other]]
name = "cut flowers"
area_share = 0.02
margin_per_ac = 500.0
first_year = 2
last_year = 20
hours_per_ac = 20.0
least_light = 0.2
full_light = 0.8
needs = "alley"
hunting_bonus = 0.1
[[payment]]
name = "wildlife"
per_ac = 2.5
first_year = 1
last_year = 30
needs = "trees"
[[cost_share]]
line = "planting"
share = 0.5
cap_per_ac = 100.0
first_year = 0
last_year = 3
practice = "trees"
life_years = 10
[[loan]]
name = "bank"
amount_per_ac = 100.0
rate = 0.05
years = 10
first_year = 0
kind = "level payments"
[labour]
own_hours_month = 40.0
[equipment]
mower_ft = 9.0
baler_ft = 12.0
sprayer_ft = 40.0
[[herbicide]]
year = 3
product_class = "imazapyr"
share = 0.5
ground = "strips"
[[event]]
year = 20
kind = "ice"
severity = 1.0
trees_lost_share = 0.1
stems_damaged_share = 0.1
salvaged_share = 0.5
[[event]]
year = 28
kind = "drought"
severity = 1.0
grass_lost_share = 0.3
drought_response = "feed"
[[fertiliser]]
year = 7
nitrogen_lb_ac = 150.0
phosphorus_lb_ac = 25.0
[fire]
first_year = 10
interval_years = 4
[neglect]
from_year = 30
missed_thinnings = [2]
thinnings_late_years = 1
no_fertiliser_from_year = 20
no_pruning = false
[[price_path]]
item = "sawtimber"
moves = "mean-reverting"
today = 25.0
mean = 27.0
keep = 0.7
spread = 0.15
[[price_path]]
item = "pulpwood"
moves = "random walk"
today = 7.0
spread = 0.2
trend = 0.01
[[price_link]]
items = ["sawtimber", "pulpwood"]
correlation = 0.4
[market]
pulpwood_bid = true
unsold_thinning = "wait"
give_up_years = 8
[sale]
pricing = "stumpage"
haul_miles = 50.0
acres_sold_with = 10.0
access = "all weather"
[risk]
zone = "coastal plain"
off = ["hogs"]
severity_spread = 0.3
ruin_share = 0.6
[risk.times]
ice = 1.5
[search]
most_thinnings = 2
first_thinning_years = [14, 16]
years_between = [7, 9]
first_residuals_trees_per_ac = [90.0, 120.0]
later_residual_shares = [0.5, 0.7]
thinning_methods = ["from below"]
harvest_years = [30, 35]
hay_until_years = [3, 5]
first_grazing_years = [4, 6]
pasture_nitrogen_lb_ac = [0.0, 80.0]
[tax]
ordinary_rate = 0.22
gains_rate = 0.15
state_rate = 0.05
planting_deducted_at_once = 10000.0
planting_years = 7
help_taxable = false
[baseline.plantation.harvest]
year = 33
[[baseline.plantation.thinning]]
year = 15
method = "rows"
[baseline.pasture.pasture]
nitrogen_lb_ac = 60.0
"""
"""Every table that a planted field can have, one key a line."""

STAND = """\
format = 1
title = "Pines that stand"
[land]
acres = 60
latitude_deg = 31.3
site_index_ft = 68
former_use = "cutover"
[money]
discount_rate = 0.05
horizon_years = 20
[trees]
species = "loblolly"
[trees.layout]
rows_in_set = 1
in_row_ft = 8
alley_ft = 9
[stand]
age = 16
origin = "planted"
thinned_before = 0
after_harvest = "plantation"
open_later_years = 5
[[stand.class]]
dbh_in = 6.5
trees_per_ac = 200.0
height_ft = 44.0
sawtimber_grade_share = 0.3
[[stand.class]]
dbh_in = 8.5
trees_per_ac = 150.0
[[thinning]]
year = 1
method = "strips then below"
residual_trees_per_ac = 80.0
strip_rows_removed = 3
strip_rows_left = 3
[[thinning]]
year = 8
method = "from below"
residual_trees_per_ac = 60.0
[harvest]
year = 15
[pasture]
grass = "bahiagrass"
nitrogen_lb_ac = 0.0
established = false
sown_year = 1
[use]
animals = "stockers"
first_grazing_year = 3
season_months = [11, 5]
tenure = "leased"
lease_basis = "acre"
[tax]
ordinary_rate = 0.22
gains_rate = 0.15
timber_basis = 20000.0
timber_basis_ton = 2000.0
[baseline.open_later.pasture]
nitrogen_lb_ac = 40.0
"""

PROPERTY = """\
format = 1
title = "Two tracts"
maximise = "npv"
[[tract]]
name = "North block"
scenario = "field.toml"
acres = 40.0
group = "road"
[[tract]]
name = "South block"
scenario = "field.toml"
acres = 25.0
[couplings.budget]
start = 15000.0
added_per_year = 2000.0
credit = 5000.0
interest = 0.01
[couplings.labour]
hours_per_year = 400.0
[couplings.herd]
start_head = 12.0
need_aum_per_head = 16.0
margin_per_head = 420.0
raised_share = 0.05
raised_price = 900.0
bought_price = 1900.0
sold_price = 1700.0
feed_price_per_aum = 45.0
most_feed_aum = 500.0
open_pasture_aum = 120.0
least_head = 0.0
most_head = 60.0
hours_per_head = 6.0
[couplings.even_wood]
period_years = 10
within = 0.5
from_year = 11
[couplings.load]
least_ton = 100.0
[couplings.renewal]
most_acres = 130.0
within_years = 3
[couplings.grazing]
least_acres = 5.0
from_year = 6
[solver]
time_limit_s = 10.0
gap = 0.01
seed = 1
"""

FACTORS = """\
format = 1
title = "What moves it"
design = "latin hypercube"
samples = 8
seed = 1
systems = "plan"
outputs = ["npv", "light at 20", "tons of sawtimber"]
[[factor]]
field = "trees.layout.alley_ft"
low = 30.0
high = 60.0
levels = 3
distribution = "uniform"
[[factor]]
name = "first_thinning"
field = "thinning[1].year"
values = [14, 16]
linked = [{ field = "thinning[2].year", plus = 8 }, { field = "harvest.year", plus = 19 }]
[[factor]]
field = "money.discount_rate"
distribution = "triangular"
low = 0.03
most_likely = 0.05
high = 0.07
[[factor]]
price = "sawtimber"
distribution = "log-normal"
median = 27.0
spread = 1.3
[[factor]]
price = "hay"
distribution = "normal"
mean = 110.0
standard_deviation = 10.0
[[factor]]
number = "tree.crown.*"
provisional = false
"""

PRICES = (
    'title = "Own prices"\nextends = "demo-2025"\ncurrency_year = 2025\n'
     """\
[sources]
invented = "invented for a test"
[sale]
hay = { value = 100.0, unit = "$/ton", source = "invented", low = 80.0, high = 150.0 }
calf = { value = 2.0, unit = "$/lb", source = "invented" }
timber_sale_fee = { value = 0.1, unit = "share of sale", source = "invented" }
[own]
browse = { value = 40.0, unit = "$/ac", source = "invented" }
"""
)

CRUISE = """\
plot,species,dbh_in,height_ft,code,tree
1,loblolly,8.4,52,pulpwood,1
1,loblolly,9.6,,sawtimber,2
1,loblolly,10.1,57,,3
2,loblolly,7.2,48,,4
2,hardwood,6.0,,,5
2,loblolly,11.3,60,pole,6
3,,,,,
4,slash,9.9,55,chip-and-saw,7
4,loblolly,6.6,45,cull,8
"""

READINGS = """\
year,quantity,value,standard_error
5,dominant_height_ft,14.5,0.5
10,dominant_height_ft,32,
10,quadratic_mean_dbh_in,6.4,0.2
12,basal_area_ft2_ac,48,4
8,forage_lb_ac,5200,500
10,light_warm,0.55,
"""

STEMS = """\
tree,x_ft,y_ft,dbh_in,height_ft,code
1,0,0,8.4,52,pulpwood
2,10,4,9.6,,sawtimber
3,22,1,10.1,57,
4,1,14,7.2,48,
5,12,16,6.0,,cull
6,24,15,11.3,60,pole
7,3,28,9.9,55,chip-and-saw
8,15,30,6.6,45,
"""

FLOWS = "year,amount,note\n0,-310,planting\n15,332.5,thinning\n30,2455,harvest\n30,-45,clean up\n"
HEIGHTS = "lon,lat,elev_ft\n" + "".join(
    f"{-75.002 + 0.001 * i},{31.2985 + 0.001 * j},{200 + 3 * i - 2 * j + i * j % 2}\n"
    for i in range(4)
    for j in range(4)
)
OUTLINE = resources.files("workbench.scenarios").joinpath("north-field.geojson").read_text(encoding="utf-8")


class Seed(NamedTuple):
    """A sound file and how it is read.

    Attributes
    ----------
    name
        Of the file that is damaged.
    text
        What stands in it.
    form
        "toml", "csv" or "json": how it can be damaged knowingly.
    commands
        Arguments of commands that read it, cheapest first; the cheapest takes most of the inputs.
    told_in
        Whether messages name this file; a price table's stand at the scenario that names it.
    """

    name: str
    text: str
    form: str
    commands: tuple[tuple[str, ...], ...]
    told_in: bool = True


SEEDS = {
    "planted": Seed("full.toml", FULL, "toml", (("check", "full.toml", "--json"), ("run", "full.toml", "--json"))),
    "example": Seed("ex.toml", example_text(), "toml", (("check", "ex.toml"), ("run", "ex.toml", "--out", "o"))),
    "standing": Seed("st.toml", STAND, "toml", (("check", "st.toml", "--json"), ("run", "st.toml", "--json"))),
    "stand example": Seed("pines.toml", stand_example_text(), "toml", (("check", "pines.toml"),)),
    "property": Seed("property.toml", PROPERTY, "toml", (("property", "property.toml", "--out", "o", "--json"),)),
    "factors": Seed("factors.toml", FACTORS, "toml", (("sweep", MAIN, "factors.toml", "--out", "o", "--json"),)),
    "prices": Seed(
        "own.toml", PRICES, "toml",
        (("check", "priced.toml"), ("stem", "--dbh", "9", "--height", "60", "--prices", "own.toml", "--json")),
        told_in=False,
    ),
    "cruise": Seed("tally.csv", CRUISE, "csv", (("cruise", "tally.csv", "--plot-acres", "0.1", "--age", "20", "--json"),)),
    "stem map": Seed("stems.csv", STEMS, "csv", (("mark", "stems.csv", "--leave-trees", "100", "--json"),)),
    "readings": Seed("read.csv", READINGS, "csv", (("calibrate", MAIN, "read.csv", "--json"),)),
    "flows": Seed("flows.csv", FLOWS, "csv", (("value", "flows.csv", "--rate", "0.05", "--rotation", "--json"),)),
    "elevation": Seed("heights.csv", HEIGHTS, "csv", (("layout", "--elevation", "heights.csv", "--json"), ("layout", "--elevation", "heights.csv", "--best-azimuth", "--json"))),
    "outline": Seed("outline.geojson", OUTLINE, "json", (("layout", "--field", "outline.geojson", "--json"),)),
}  # fmt: skip

BESIDE = {
    MAIN: example_text(),
    "priced.toml": FULL.replace('"demo-2025"', '"own.toml"'),
}
"""Sound files that the damaged ones name or stand beside."""


def one_key_a_line(text: str) -> bool:
    """Whether every value of a TOML text ends on the line it begins on, so that a line can be damaged by itself."""
    tomllib.loads(text)
    return not re.search(r"=\s*(?:\[[^\]]*$|\"\"\"|''')", text, re.MULTILINE)
