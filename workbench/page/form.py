"""The form of a plan: every field from the scenario's own schema, with the trade's word, its unit and its limits."""

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from typing import Any, Final

from simulator.scenario.messages import schema_of
from simulator.scenario.model import Scenario
from workbench.page.form_choices import choices_of
from workbench.page.form_field import field_document
from workbench.page.messages import Reply, Settings, json_reply
from workbench.page.price_fields import price_fields
from workbench.page.sample_titles import SAMPLE_TITLES

STAR: Final = "*"
PAIRS: Final = {"use.hay_years", "use.season_months", "income.carbon_years"}
"""Fields of two whole numbers, shown as two fields that are given or left out together."""


@cache
def labels() -> dict[str, Any]:
    """Words of the forms, see labels.toml."""
    return tomllib.loads(resources.files("workbench.page").joinpath("labels.toml").read_text(encoding="utf-8"))


def form_document(settings: Settings) -> list[dict[str, Any]]:
    """Groups of fields in the order in which they are shown.

    Parameters
    ----------
    settings
        Whose price table the prices are of.

    Returns
    -------
    list of dict
        Each with ``id``, ``title`` and ``fields``. A group of a table that may be absent names it in ``table``; one of
        a list of tables names it in ``list``, and the paths of its fields have ``*`` for the place in the list.
    """
    scalars = scalar_fields()
    groups = []
    for group in labels()["group"]:
        if group.get("prices"):
            fields = price_fields(group["label"], labels()["metric"], settings)
        else:
            named = group["label"].items()
            fields = [_field(path, label, scalars[path], settings) for path, label in named if path in scalars]
        known = {key: group[key] for key in ("id", "title", "table", "list") if key in group}
        groups.append({"table": None, "list": None, **known, "fields": fields})
    return [group for group in groups if group["fields"]]


def form_reply(_: Any, settings: Settings) -> Reply:  # noqa: ANN401 - nothing is given
    """The form and the examples, which the page needs before the first comparison is there."""
    examples = [{"id": name, "title": title} for name, title in SAMPLE_TITLES.items()]
    return json_reply({"form": form_document(settings), "examples": examples})


def _field(path: str, label: str, node: Mapping[str, Any], settings: Settings) -> dict[str, Any]:
    words = labels()
    source = words["source"].get(path)
    field = field_document(path, label, node, words["metric"], source)
    field["help"] = words["help"].get(path, field["help"])
    field["choices"] = choices_of(path, node, words["choice"], settings.own_table)
    if field["choices"] is not None:
        field["kind"] = "choice"
    pair = path.rpartition(".")[0]
    return field | ({"pair": pair} if pair in PAIRS else {})


def scalar_fields() -> dict[str, Mapping[str, Any]]:
    """Schema of every field by path, ``*`` for a place in a list; a pair of numbers counts as two fields."""
    return dict(_walked(schema_of(Scenario), "", required=frozenset()))


def _walked(node: Mapping[str, Any], path: str, *, required: frozenset[str]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    needed = frozenset(node.get("required", ())) | required
    for name, child in node["properties"].items():
        here = f"{path}{name}"
        branch = next(each for each in child.get("anyOf", [child]) if each.get("type") != "null")
        items = branch.get("items") if branch.get("type") == "array" else None
        if "properties" in branch:
            yield from _walked(branch, f"{here}.", required=frozenset())
        elif isinstance(items, Mapping) and "properties" in items:
            yield from _walked(items, f"{here}.{STAR}.", required=frozenset())
        elif here in PAIRS:
            yield from _pair(here, child, branch)
        else:
            yield here, {**branch, **child, "needed": name in needed}


def _pair(path: str, child: Mapping[str, Any], branch: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    default = child.get("default")
    for place, item in enumerate(branch["prefixItems"]):
        whole = {**item, "description": child["description"], "needed": False}
        yield f"{path}.{place}", whole | {"default": default[place] if default else None}
