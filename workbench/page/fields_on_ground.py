"""A plan's rows on a field for the page: counts, a map to draw, what it would change in the plan, and files."""

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from importlib import resources
from typing import Any, Final, NamedTuple

from simulator.csv_rows import shown
from simulator.errors import InputError, Problem
from simulator.ground import Field, Layout, Options, features_of, field_of, lay_out
from simulator.ground.features import FieldFile
from workbench.ground_plan import plan_changes
from workbench.ground_words import CAUTIONS, first_row_words, other_directions_words, passes_words
from workbench.page.answers import file_stem
from workbench.page.downloads import ZIP, archive
from workbench.page.ground_picture import picture_document
from workbench.page.messages import OK, UNPROCESSABLE, Reply, Settings, json_reply
from workbench.page.plans import MOST_PROBLEMS, Opened, opened_tables

PACKAGED: Final = "north-field.geojson"
OUTLINE: Final = "the outline"
MOST_LETTERS: Final = 1_000_000
BY_NUMBER: Final = re.compile(r"(urn:(x-)?ogc:def:crs:)?(EPSG|ESRI|OGC):[0-9.]*:?[A-Z]*[0-9]+", re.IGNORECASE)
"""Any other description of a coordinate system may name files, and a page opens none."""
LARGEST: Final = 1e12
"""No length, share or count of a field comes near it; beyond it a number may not even be a float."""
NUMBERS: Final = {
    "headland_ft": "headland_ft",
    "setback_ft": "setback_ft",
    "stream_buffer_ft": "stream_buffer_ft",
    "equipment_ft": "equipment_ft",
    "paddocks": "paddocks",
    "declination": "declination_deg",
}
"""Options that are numbers, as the page and as the layout call them."""
CHOICES: Final[Mapping[str, tuple[object, ...]]] = {"paddock_lines": ("along", "across"), "best_azimuth": (True, False)}
SAID: Final = (
    (r" \(--fit-alley\)", ""),
    (r"--write-plan writes the field's acres", "“Use this direction and these acres” writes them into the plan"),
    (r"--crs EPSG", "EPSG"),
    (r"another --azimuth", "another direction"),
    (r"--paddock-lines across", "cross-fences across the rows"),
    (r"--crs", "“Coordinate system”"),
)
"""Options of the command line in what is said, and what the page has in their place."""


class Asked(NamedTuple):
    """What the page asks: plan, field as read and as drawn, whether it is a person's own, options."""

    opened: Opened
    source: FieldFile
    field: Field
    own: bool
    options: Options


class OutlineError(Exception):
    """What is wrong with the field or an option, told apart from what is wrong in the plan.

    Attributes
    ----------
    error
        The problems.
    """

    def __init__(self, error: InputError) -> None:
        super().__init__(str(error))
        self.error = error


def layout_reply(given: Mapping[str, Any], settings: Settings) -> Reply:
    """A plan's rows on a field.

    Parameters
    ----------
    given
        ``plan``; ``field``, GeoJSON as text or null for the packaged, invented one; ``azimuth`` [degrees] or null for
        the plan's; ``options``.
    settings
        What the process was told.

    Returns
    -------
    Reply
        ``layout`` as `Layout.document` has it, ``picture``, ``use`` (what it would change in the plan, by path) and
        ``words``; 422 with the field ``field``, ``options.headland_ft`` or a path of the plan.
    """
    try:
        asked = _asked(given, settings)
        layout = _laid(asked, settings)
    except OutlineError as refused:
        return _refused(refused)
    return json_reply(
        {
            "layout": layout.document(),
            "picture": picture_document(layout, asked.source),
            "use": plan_changes(layout),
            "words": _words(layout, own=asked.own),
        }
    )


def files_reply(given: Mapping[str, Any], settings: Settings) -> Reply:
    """Rows, stakes, order, map and planting card of a layout in one archive; asked as :func:`layout_reply` is."""
    from workbench.charts.files import image  # noqa: PLC0415 - matplotlib is slow to import
    from workbench.ground_files import layout_texts  # noqa: PLC0415
    from workbench.ground_map import map_figure  # noqa: PLC0415

    try:
        asked = _asked(given, settings)
        layout = _laid(asked, settings)
    except OutlineError as refused:
        return _refused(refused)
    files = {name: text.encode() for name, text in layout_texts(layout, layout.document()).items()}
    figure = map_figure(layout)
    files |= {f"map.{kind}": image(figure, kind) for kind in ("png", "svg")}
    return Reply(OK, archive(files), ZIP, f"{file_stem(asked.opened)}-on-the-ground.zip")


def _asked(given: Mapping[str, Any], settings: Settings) -> Asked:
    opened = opened_tables(given["plan"], settings)
    system = None
    try:
        options, system = _options(given)
        text = _outline_text(given)
        source, field = _read(text, system, opened.scenario.land.latitude_deg)
    except InputError as error:
        raise OutlineError(_at_the_option(error) if system else error) from error
    return Asked(opened, source, field, text is not None, options)


def _at_the_option(error: InputError) -> InputError:
    """A coordinate system that was typed is put right where it was typed, not in the file."""
    typed = [replace(each, field="--crs", file=None) if each.field == "crs" else each for each in error.problems]
    return InputError(typed)


def _outline_text(given: Mapping[str, Any]) -> str | None:
    text = given.get("field")
    if text is not None and (not isinstance(text, str) or len(text) > MOST_LETTERS):
        raise InputError([Problem("", "must be GeoJSON text of at most 1 MB", "", "Save only the field.", OUTLINE)])
    return text


def _laid(asked: Asked, settings: Settings) -> Layout:
    try:
        return lay_out(asked.field, asked.opened.scenario, asked.options, settings.beside)
    except InputError as error:
        raise OutlineError(error) from error


@lru_cache(maxsize=4)
def _read(text: str | None, system: str | None, latitude_deg: float) -> tuple[FieldFile, Field]:
    """The field, read once while its rows are turned."""
    packaged = resources.files("workbench.scenarios").joinpath(PACKAGED)
    source = features_of(packaged.read_text(encoding="utf-8") if text is None else text.removeprefix("\ufeff"), OUTLINE)
    for name in (system, source.system):
        if name is not None and not BY_NUMBER.fullmatch(name):
            remedy = "Write it such as EPSG:26916, or export in WGS 84."
            raise InputError([Problem("crs", "is taken by its number only", shown(name), remedy, OUTLINE)])
    return source, field_of(source, system, latitude_deg)


def _options(given: Mapping[str, Any]) -> tuple[Options, str | None]:
    """Options of a layout, and the coordinate system where one is named."""
    asked = given.get("options") or {}
    if not isinstance(asked, dict):
        raise InputError([Problem("--options", "must be a table", "", "Send names and values.")])
    named = {name: value for name, value in asked.items() if value is not None}
    system = named.pop("crs", None)
    problems = [problem for name, value in named.items() if (problem := _fault(name, value))]
    if system is not None and not isinstance(system, str):
        problems.append(Problem("--crs", "must be text", "", "Write it such as EPSG:26916."))
    azimuth = given.get("azimuth")
    if azimuth is not None and not _is_number(azimuth):
        problems.append(Problem("--azimuth", "must be a number", "", "Type degrees, 0 to 360."))
    if problems:
        raise InputError(problems)
    found = {NUMBERS.get(name, name): value for name, value in named.items()}
    return Options(azimuth_deg=azimuth, **found), (system or "").strip() or None


def _fault(name: str, value: object) -> Problem | None:
    option = "--" + name.replace("_", "-")[:40]
    if name in CHOICES:
        fits = any(value is each or (isinstance(each, str) and value == each) for each in CHOICES[name])
        return None if fits else Problem(option, "is not one of the choices", "", "Choose one.")
    if name not in NUMBERS:
        return Problem(option, "is no option of a layout", "", f"There are: {', '.join((*NUMBERS, *CHOICES, 'crs'))}.")
    if not _is_number(value):
        return Problem(option, "must be a number", "", "Type one, or leave it empty.")
    whole = name != "paddocks" or float(str(value)).is_integer()
    return None if whole else Problem(option, "must be a whole number", f"{value}", "Type one.")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < LARGEST


def _refused(refused: OutlineError) -> Reply:
    return json_reply({"problems": [_problem(each) for each in refused.error.problems[:MOST_PROBLEMS]]}, UNPROCESSABLE)


def _problem(problem: Problem) -> dict[str, Any]:
    """One problem, with the place on the page where it is said."""
    place = _place(problem)
    named = problem.field if problem.file == OUTLINE else ""
    message = _on_the_page(str(replace(problem, field=named, file=None, line=None)))
    if problem.file == OUTLINE and not problem.field:
        message = f"The field {message}"
    return {"field": place, "name": problem.field, "message": message[:1].upper() + message[1:], "line": None}


def _place(problem: Problem) -> str:
    if problem.file == OUTLINE:
        return "field"
    if not problem.field.startswith("--"):
        return problem.field
    name = problem.field.removeprefix("--").replace("-", "_")
    return name if name == "azimuth" else f"options.{name}"


def _on_the_page(text: str) -> str:
    for pattern, words in SAID:
        text = re.sub(pattern, words, text)
    return text


def _words(layout: Layout, *, own: bool) -> dict[str, Any]:
    """What is said beside the map; the packaged field is nobody's, so its place on the globe is no matter."""
    notes = [message for code, message in layout.notes if own or code != "latitude"]
    choice = layout.choice
    first = first_row_words(layout)
    return {
        "notes": [_on_the_page(note) for note in notes],
        "cautions": list(CAUTIONS),
        "first_row": f"{first[:1].upper()}{first[1:]}.",
        "machines": [_on_the_page(passes_words(each)) for each in layout.passes],
        "reason": None if choice is None else choice.reason,
        "others": list(other_directions_words(layout)),
    }
