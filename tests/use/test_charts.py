"""Charts: the files a person opens, the numbers the drawings claim, and plans that are unlike the example."""

import struct
import xml.etree.ElementTree as ET
from collections.abc import Callable
from functools import cache
from itertools import combinations
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.container import BarContainer
from matplotlib.figure import Figure
from matplotlib.patches import Ellipse, Patch, Polygon, Rectangle, StepPatch
from matplotlib.text import Text

from simulator.comparison import Comparison, compare
from simulator.measures import END_VALUE
from simulator.scenario.file import load_text
from simulator.units import FloatArray
from workbench.charts import (
    cross_section_figure,
    image,
    income_figure,
    light_and_forage_figure,
    stand_figure,
    write_figures,
)
from workbench.charts.cross_section import Slice, slices_of
from workbench.charts.style import ENTERPRISE_COLOR, SYSTEM_INK, lanes, spread_apart, system_name
from workbench.examples import Choices, example_text, scenario_text

FIGURES = (income_figure, light_and_forage_figure, stand_figure, cross_section_figure)
NAMES = ("income", "light_and_forage", "stand", "cross_section")
PNG_SIGNATURE = b"\x89PNG\r\n\x1a\n"
FEET_PER_INCH_TOLERANCE = 1e-6


def _without(text: str, start: str, end: str) -> str:
    return text[: text.index(start)] + text[text.index(end) :]


def _text(kind: str) -> str:
    example = example_text()
    rowwise = 'method = "rows then below"\nremove_every_row = 4\nresidual_trees_per_ac = 200'
    below = 'method = "from below"\nresidual_trees_per_ac = 100'
    single = scenario_text(Choices(layout="single", animals="none"))
    return {
        "example": example,
        "owned herd": example.replace('tenure = "leased"', 'tenure = "owned"'),
        "no animals, straw, single rows, no thinning": _without(single, "[[thinning]]", "[harvest]").replace(
            "market = false", "market = true"
        ),
        "triple rows": scenario_text(Choices(layout="triple")),
        "standing stand": scenario_text(Choices(route="stand")),
        "sheep": scenario_text(Choices(animals="sheep")),
        "goats": scenario_text(Choices(animals="goats")),
        "block": scenario_text(Choices(layout="block")),
        "eight rows in a set": example.replace("rows_in_set = 2", "rows_in_set = 8").replace(below, rowwise),
        "one year": example.replace("horizon_years = 40", "horizon_years = 1"),
        "six years": example.replace("horizon_years = 40", "horizon_years = 6"),
        "hundred years": example.replace("horizon_years = 40", "horizon_years = 100"),
        "no trees": _without(example, "[trees]", "[pasture]"),
        "nothing is done": _without(_without(example, "[trees]", "[pasture]"), "[use]", "[straw]"),
    }[kind]


KINDS = (
    "example",
    "owned herd",
    "no animals, straw, single rows, no thinning",
    "triple rows",
    "block",
    "standing stand",
    "eight rows in a set",
    "one year",
    "six years",
    "hundred years",
    "no trees",
    "nothing is done",
)


@cache
def _comparison(kind: str) -> Comparison:
    return compare(load_text(_text(kind), kind), precision="fast")


@pytest.fixture(scope="module")
def example() -> Comparison:
    return _comparison("example")


def _tagged(figure: Figure, tag: str) -> list[Patch]:
    return [patch for axes in figure.axes for patch in axes.patches if patch.get_gid() == tag]


def _panel(figure: Figure, words: str) -> Axes:
    return next(axes for axes in figure.axes if words in axes.get_title(loc="left"))


def test_every_chart_becomes_a_picture_and_a_drawing(example: Comparison, tmp_path: Path) -> None:
    written = write_figures(example, tmp_path)
    assert written == [tmp_path / f"{name}.{kind}" for name in NAMES for kind in ("png", "svg")]
    assert sorted(tmp_path.iterdir()) == sorted(written), "nothing half-written is left behind"
    for path in written:
        if path.suffix == ".png":
            content = path.read_bytes()
            width, height = struct.unpack(">II", content[16:24])
            assert content.startswith(PNG_SIGNATURE)
            assert content.endswith(b"IEND\xaeB`\x82")
            assert width == 1200  # 7.5 in, a Letter page between margins, at 160 dots an inch
            assert height <= 9.5 * 160, "higher than a Letter page between its margins"
        else:
            root = ET.fromstring(path.read_text(encoding="utf-8"))  # noqa: S314 - written a line above
            assert root.tag == "{http://www.w3.org/2000/svg}svg"
            assert root.get("width") == "540pt"


@pytest.mark.parametrize("draw", FIGURES)
def test_same_comparison_same_bytes(draw: Callable[[Comparison], Figure]) -> None:
    """Drawn from two runs of one plan, and under other settings of the person's own in between."""
    first, second = _comparison("six years"), compare(load_text(_text("six years"), "again"), precision="fast")
    for kind in ("png", "svg"):
        one = image(draw(first), kind)
        with mpl.rc_context({"font.size": 21.0, "axes.facecolor": "black", "svg.hashsalt": "else"}):
            other = image(draw(second), kind)
        assert one == other
    assert mpl.rcParams["svg.hashsalt"] is None, "the settings of the process are left as they were"


def test_svg_text_is_text_and_carries_no_date_or_version(example: Comparison) -> None:
    content = image(income_figure(example), "svg").decode()
    assert "cumulative cash [$/ac]" in content
    assert "<dc:date>" not in content
    assert mpl.__version__ not in content


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("draw", FIGURES)
def test_no_words_are_cut_off_or_overlap(draw: Callable[[Comparison], Figure], kind: str) -> None:
    figure = draw(_comparison(kind))
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    renderer = canvas.get_renderer()
    undrawn = _undrawn_tick_labels(figure)
    boxes = {}
    for text in figure.findobj(Text):
        assert isinstance(text, Text)
        if text.get_text().strip() and text.get_visible() and text not in undrawn:
            boxes[text] = text.get_window_extent(renderer)
    width, height = canvas.get_width_height()
    for text, box in boxes.items():
        inside = box.x0 >= -1 and box.y0 >= -1 and box.x1 <= width + 1 and box.y1 <= height + 1
        assert inside, f"cut off: {text.get_text()!r}"
    for (text, box), (other, other_box) in combinations(boxes.items(), 2):
        overlap = min(box.x1, other_box.x1) - max(box.x0, other_box.x0) > 1.0
        overlap = overlap and min(box.y1, other_box.y1) - max(box.y0, other_box.y0) > 1.0
        assert not overlap, f"{text.get_text()!r} lies on {other.get_text()!r}"


def _undrawn_tick_labels(figure: Figure) -> set[Text]:
    """Labels of ticks outside the limits, which matplotlib keeps without drawing them."""
    hidden = set()
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            drawn = axis._update_ticks()
            hidden |= {label for tick in axis.majorTicks if tick not in drawn for label in (tick.label1, tick.label2)}
    return hidden


@pytest.mark.parametrize("kind", ["example", "owned herd", "no animals, straw, single rows, no thinning", "no trees"])
def test_bars_add_up_to_the_ledger(kind: str) -> None:
    """Every bar is the ledger's net of its enterprise and year; all bars of a year are that year's cash."""
    comparison = _comparison(kind)
    outcome = comparison.systems["silvopasture"]
    panel = _panel(income_figure(comparison), "sales less costs")
    ledger = outcome.ledger()
    net = ledger[ledger["account"] != END_VALUE].groupby(["enterprise", "year"])["amount"].sum()
    drawn = np.zeros(len(outcome.cash_per_ac))
    named = {"tax and administration": "land", "pine straw": "straw"}
    for bars in panel.containers:
        assert isinstance(bars, BarContainer)
        heights = np.array([bar.get_height() for bar in bars])
        enterprise = named.get(bars.get_label(), bars.get_label())
        expected = net[enterprise].reindex(range(len(drawn)), fill_value=0.0).to_numpy()
        np.testing.assert_allclose(heights, expected, atol=1e-9)
        drawn += heights
    assert len(panel.containers) == len(net.index.get_level_values("enterprise").unique())
    np.testing.assert_allclose(drawn, outcome.cash_per_ac, atol=1e-9)


def test_stacked_bars_neither_overlap_nor_leave_gaps(example: Comparison) -> None:
    panel = _panel(income_figure(example), "sales less costs")
    for year in range(len(panel.containers[0].patches)):  # type: ignore[attr-defined]
        spans = [sorted((bar.get_y(), bar.get_y() + bar.get_height())) for bar in _bars_of(panel, year)]
        whole = max(high for _, high in spans) - min(low for low, _ in spans)
        assert whole == pytest.approx(sum(high - low for low, high in spans))


def _bars_of(panel: Axes, year: int) -> list[Rectangle]:
    return [container[year] for container in panel.containers if isinstance(container, BarContainer)]


def test_bars_beyond_the_scale_have_their_size_in_words(example: Comparison) -> None:
    outcome = example.systems["silvopasture"]
    panel = _panel(income_figure(example), "sales less costs")
    top, words = panel.get_ylim()[1], [text.get_text() for text in panel.texts]
    beyond = {bar.get_height() for year in range(41) for bar in _bars_of(panel, year) if bar.get_height() > top}
    assert outcome.cash_per_ac.max() > top, "the example's harvest does not fit, so this test can fail"
    assert beyond
    for height in beyond:
        assert any(f"${round(height):,}" in text for text in words)
    assert "torn" in panel.get_title(loc="right")


def test_lines_and_lean_years_are_the_cumulative_cash(example: Comparison) -> None:
    figure = income_figure(example)
    lines = {line.get_gid(): line for line in _panel(figure, "undiscounted").get_lines()}
    lean = {strips.get_gid(): strips for strips in _panel(figure, "Lean years").collections}
    for name, outcome in example.systems.items():
        cash = np.cumsum(outcome.cash_per_ac)
        np.testing.assert_allclose(np.asarray(lines[f"cumulative-{name}"].get_ydata(), float), cash)
        spans = [path.get_extents() for path in lean[f"lean-{name}"].get_paths()]
        covered = [year for year in range(len(cash)) if any(span.x0 < year < span.x1 for span in spans)]
        assert covered == list(np.flatnonzero(cash < 0))


def test_title_and_bars_tell_equal_annual_income(example: Comparison) -> None:
    figure = income_figure(example)
    bars = next(item for item in _panel(figure, "Equal annual income").containers if isinstance(item, BarContainer))
    income = [example.systems[name].measures.equal_annual_income for name in example.ranking]
    assert [bar.get_width() for bar in bars] == pytest.approx(income)
    assert sorted(income, reverse=True) == income
    for value in income:
        assert f"${abs(round(value))}" in figure.get_suptitle()


def test_light_forage_and_use_are_the_states(example: Comparison) -> None:
    figure = light_and_forage_figure(example)
    drawn = {patch.get_gid(): patch for axes in figure.axes for patch in axes.patches}
    columns = {
        "light-warm-silvopasture": ("silvopasture", "light_warm"),
        "light-cool-plantation": ("plantation", "light_cool"),
        "forage-pasture": ("pasture", "forage_lb_ac"),
        "animal_unit_months_ac-silvopasture": ("silvopasture", "animal_unit_months_ac"),
        "hay_ton_ac-silvopasture": ("silvopasture", "hay_ton_ac"),
    }
    for tag, (system, column) in columns.items():
        steps = drawn[tag]
        assert isinstance(steps, StepPatch)
        values, edges, _ = steps.get_data()
        np.testing.assert_array_equal(values, example.systems[system].states[column][1:])
        np.testing.assert_array_equal(edges, np.arange(41))  # year 1 lasts from 0 to 1: a cut at 16 shows from 16 on


def test_thinnings_drop_to_the_trees_the_plan_leaves(example: Comparison) -> None:
    """The drops are vertical and end at the residuals written in the scenario."""
    scenario = example.systems["silvopasture"].scenario
    panel = _panel(stand_figure(example), "Trees")
    line = next(line for line in panel.get_lines() if line.get_gid() == "trees_per_ac-silvopasture")
    years, trees = np.asarray(line.get_xdata(), float), np.asarray(line.get_ydata(), float)
    assert scenario.thinning
    for cut in scenario.thinning:
        before, after = trees[years == cut.year]
        assert before > after
        assert after == pytest.approx(cut.residual_trees_per_ac)
    assert scenario.harvest is not None
    _, felled, planted = trees[years == scenario.harvest.year]
    assert felled == 0.0
    assert planted == pytest.approx(2 * 43560 / (50.0 * 8.0))  # double rows, a set every 50 ft, 8 ft in the row


def test_state_after_a_thinning_is_not_invented(example: Comparison) -> None:
    panel = _panel(stand_figure(example), "Basal area")
    line = next(line for line in panel.get_lines() if line.get_gid() == "basal_area_ft2_ac-silvopasture")
    years, area = np.asarray(line.get_xdata(), float), np.asarray(line.get_ydata(), float)
    assert np.isnan(area[years == 16.0][1])


@pytest.mark.parametrize("kind", KINDS)
def test_feet_are_equally_long_in_every_slice(kind: str) -> None:
    comparison = _comparison(kind)
    figure = cross_section_figure(comparison)
    FigureCanvasAgg(figure).draw()
    inches = figure.get_size_inches()
    scales = []
    for axes in figure.axes[: len(slices_of(comparison))]:
        box = axes.get_position()
        left, right = axes.get_xlim()
        low, high = axes.get_ylim()
        scales += [(right - left) / (box.width * inches[0]), (high - low) / (box.height * inches[1])]
        assert axes.get_aspect() == 1.0
    assert np.ptp(scales) < FEET_PER_INCH_TOLERANCE * scales[0]


@pytest.mark.parametrize("kind", ["example", "block", "eight rows in a set", "triple rows"])
def test_crowns_are_those_of_the_run(kind: str) -> None:
    """Width, height and place of every ellipse come from the drawing arrays; felled rows are gone."""
    comparison = _comparison(kind)
    figure = cross_section_figure(comparison)
    for axes, part in zip(figure.axes, slices_of(comparison), strict=False):
        crowns = [patch for patch in axes.patches if isinstance(patch, Ellipse) and patch.get_gid() == "crown"]
        assert {_key(crown) for crown in crowns} == _expected_crowns(comparison, part, axes.get_xlim())


def _key(crown: Ellipse) -> tuple[float, ...]:
    x, y = crown.get_center()
    return tuple(round(float(value), 6) for value in (x, y, crown.width, crown.height))


def _expected_crowns(comparison: Comparison, part: Slice, limits: tuple[float, float]) -> set[tuple[float, ...]]:
    drawing = comparison.systems[part.system].drawing
    cell = float(drawing["cell_ft"])
    expected = set()
    for row, offset in enumerate(drawing["offset_ft"]):
        top, base, radius = (drawing[name][part.year, row] for name in ("height_ft", "crown_base_ft", "across_ft"))
        for turn in range(-60, 61):
            place = offset + turn * cell
            seen = limits[0] - radius < place < limits[1] + radius
            if drawing["alive"][part.year, row] and seen:
                values = (place, (top + base) / 2.0, 2.0 * radius, top - base)
                expected.add(tuple(round(float(value), 6) for value in values))
    return expected


def test_a_felled_row_leaves_a_gap() -> None:
    """One row in five goes at the first thinning of a block: the slice a year later shows four of five."""
    comparison = _comparison("block")
    figure = cross_section_figure(comparison)
    places = {part: axes for axes, part in zip(figure.axes, slices_of(comparison), strict=False)}
    before, after = (_rows_seen(places[Slice("silvopasture", year)]) for year in (15, 16))
    assert len(after) == pytest.approx(0.8 * len(before), abs=1.0)
    assert after < before


def _rows_seen(axes: Axes) -> set[float]:
    low, high = axes.get_xlim()
    crowns = [patch for patch in axes.patches if isinstance(patch, Ellipse) and patch.get_gid() == "crown"]
    return {round(crown.get_center()[0], 6) for crown in crowns if low < crown.get_center()[0] < high}


@pytest.mark.parametrize("kind", ["example", "triple rows", "eight rows in a set"])
def test_ground_is_coloured_by_the_light_that_reached_it(kind: str) -> None:
    """Between two row sets the tiles fill the alley less one strip, and their mean light is the year's."""
    from workbench.charts.ground import tiles_of_cell  # noqa: PLC0415 - one test looks behind the drawing

    comparison = _comparison(kind)
    outcome = comparison.systems["silvopasture"]
    trees = outcome.scenario.trees
    assert trees is not None
    for part in slices_of(comparison)[:-2]:
        tiles = tiles_of_cell(outcome, part.year)
        width = np.array([tile.end_ft - tile.start_ft for tile in tiles])
        light = np.array([tile.light for tile in tiles])
        assert width.sum() == pytest.approx(trees.layout.alley_ft - 5.0)  # strips of 5 ft, one to each alley
        assert float((width * light).sum() / width.sum()) == pytest.approx(
            float(outcome.states["light_warm"][part.year]), abs=0.01
        )


def test_who_stands_in_the_slice_is_who_uses_the_land(example: Comparison) -> None:
    figure = cross_section_figure(example)
    for axes, part in zip(figure.axes, slices_of(example), strict=False):
        states = example.systems[part.system].states
        tags = {patch.get_gid() for patch in axes.patches}
        assert "person" in tags
        assert ("cow" in tags) == (states["animal_unit_months_ac"][part.year] > 0)
        assert ("bale" in tags) == ("tractor" in tags) == (states["hay_ton_ac"][part.year] > 0)


def test_person_and_cow_are_of_their_size(example: Comparison) -> None:
    figure = cross_section_figure(example)
    person, cow = _tagged(figure, "person")[0], _tagged(figure, "cow")[0]
    assert isinstance(person, Polygon)
    assert isinstance(cow, Polygon)
    assert _height(person) == pytest.approx(5.0)  # up to the shoulders; the head above reaches 6 ft
    assert _height(cow) == pytest.approx(4.8)
    assert any("Person 6 ft" in text.get_text() for text in figure.texts)


@pytest.mark.parametrize("kind", ["sheep", "goats"])
def test_sheep_and_goats_are_not_drawn_as_cows(kind: str) -> None:
    figure = cross_section_figure(_comparison(kind))
    small = _tagged(figure, kind.rstrip("s"))
    assert small
    assert not _tagged(figure, "cow")
    widths = [float(np.ptp(np.asarray(one.get_xy(), float)[:, 0])) for one in small if isinstance(one, Polygon)]
    assert max(widths) == pytest.approx(3.5)
    words = " ".join(text.get_text() for text in figure.texts)
    assert "3.5 ft long" in words
    assert "cow" not in words


@pytest.mark.parametrize("kind", ["standing stand", "triple rows"])
def test_nothing_stands_in_a_stem(kind: str) -> None:
    figure = cross_section_figure(_comparison(kind))
    seen = 0
    for axes in figure.axes:
        stems = [_ends(patch) for patch in axes.patches if patch.get_gid() == "stem"]
        for patch in axes.patches:
            if patch.get_gid() in {"cow", "person"} and isinstance(patch, Polygon):
                low, high = _ends(patch)
                assert all(high < left or low > right for left, right in stems)
                seen += bool(stems)
    assert seen > 3


def _ends(patch: Patch) -> tuple[float, float]:
    assert isinstance(patch, Polygon)
    across: FloatArray = np.asarray(patch.get_xy(), float)[:, 0]
    return float(across.min()), float(across.max())


@pytest.mark.parametrize("kind", ["example", "standing stand"])
def test_no_year_before_the_harvest_is_darker_than_the_title_says(kind: str) -> None:
    comparison = _comparison(kind)
    title = cross_section_figure(comparison).get_suptitle().replace("\n", " ")
    for name, outcome in comparison.systems.items():
        light = outcome.states["light_warm"]
        if name == "pasture" or outcome.scenario.harvest is None:
            continue
        least = light[1 : outcome.scenario.harvest.year + 1].min()
        assert f"{system_name(comparison, name)} {least:.0%} (year" in title


def test_every_way_with_a_stand_is_drawn() -> None:
    comparison = _comparison("standing stand")
    assert {part.system for part in slices_of(comparison)} == set(comparison.systems)


def test_a_stand_that_is_cleared_has_no_line_and_only_the_plan_names_its_cuts() -> None:
    figure = stand_figure(_comparison("standing stand"))
    heights = figure.axes[0]
    drawn = {line.get_gid() for line in heights.get_lines()}
    assert "dominant_height_ft-silvopasture" in drawn
    assert "dominant_height_ft-pasture" not in drawn
    named = [text for text in heights.texts if text.get_text().startswith(("thin", "harvest"))]
    assert {text.get_color() for text in named} == {SYSTEM_INK["silvopasture"].words}


def _height(shape: Polygon) -> float:
    corners: FloatArray = np.asarray(shape.get_xy(), float)
    return float(np.ptp(corners[:, 1]))


@pytest.mark.parametrize(
    ("kind", "years"),
    [
        ("example", [1, 5, 10, 16, 17, 25, 35]),
        ("one year", [1]),
        ("six years", [1, 6]),
        ("no trees", [40]),
        ("no animals, straw, single rows, no thinning", [1, 5, 10, 15, 25, 35]),
    ],
)
def test_slices_show_the_ages_that_matter(kind: str, years: list[int]) -> None:
    assert [part.year for part in slices_of(_comparison(kind)) if part.system == "silvopasture"] == years


def test_labels_spread_just_as_far_as_they_must() -> None:
    assert spread_apart([0.5, 0.1], 0.2) == [0.5, 0.1]
    assert spread_apart([0.5, 0.5], 0.2) == pytest.approx([0.4, 0.6])
    assert np.diff(spread_apart([0.0, 0.05, 0.1, 0.9], 0.2)).min() == pytest.approx(0.2)


def test_labels_in_one_lane_do_not_touch() -> None:
    assert lanes([10.0, 20.0, 30.0], [8.0, 8.0, 8.0]) == [0, 0, 0]
    assert lanes([10.0, 14.0, 19.0], [8.0, 8.0, 8.0]) == [0, 1, 0]


def test_enterprises_lie_apart_in_lightness_so_that_a_grey_print_tells_them_apart() -> None:
    """Lightness L* by its definition of CIE 1976 from sRGB (IEC 61966-2-1); the least distance is common practice."""
    seen = sorted(_lightness(color) for color in ENTERPRISE_COLOR.values())
    assert min(np.diff(seen)) >= 8.0


def _lightness(color: str) -> float:
    channels = np.array([int(color[start : start + 2], 16) for start in (1, 3, 5)]) / 255.0
    linear = np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)
    return float(116.0 * np.cbrt(linear @ [0.2126, 0.7152, 0.0722]) - 16.0)
