"""One field of the form, from its schema."""

import re
from collections.abc import Mapping
from typing import Any, Final

KINDS: Final = {"number": "number", "integer": "integer", "boolean": "boolean", "string": "text"}
UNIT: Final = re.compile(r"\[((?!stand\]|money\])[$\w/]+|degrees[^\]]*)\]")
SHARE: Final = "share"
FROM_THE_PLAN: Final = "yours to say; the example's value is invented"
FROM_THE_FORMAT: Final = "what the program takes where the plan says nothing; assumed unless the method book says more"
LEFT_OUT: Final = "left out unless you say so"


def field_document(
    path: str, label: str, node: Mapping[str, Any], metric: Mapping[str, Any], source: str | None
) -> dict[str, Any]:
    """A field as the page needs it.

    Parameters
    ----------
    path
        Of the field in the nested tables.
    label
        The trade's word.
    node
        Its schema.
    metric
        Metric units by unit.
    source
        Where its default comes from, where labels.toml says it.

    Returns
    -------
    dict
        path, label, unit, metric, kind, min, max, choices (None), help, default, needed, source. Limits that the value
        itself may not take are in ``above`` and ``below``.
    """
    description, default = str(node.get("description", "")), node.get("default")
    kind = _kind(node)
    unit = _unit(path, description, kind)
    limits = _limits(node)
    return {
        "path": path,
        "label": label,
        "unit": unit,
        "metric": metric.get(unit) if unit else None,
        "kind": kind,
        "min": limits.get("minimum", limits.get("exclusiveMinimum")),
        "max": limits.get("maximum", limits.get("exclusiveMaximum")),
        "above": "exclusiveMinimum" in limits,
        "below": "exclusiveMaximum" in limits,
        "choices": None,
        "help": _help(description, label),
        "default": default,
        "needed": bool(node.get("needed")),
        "source": source or _source(node, default),
    }


def _kind(node: Mapping[str, Any]) -> str:
    branches = [branch.get("type") for branch in node.get("anyOf", [node])]
    return next((KINDS[kind] for kind in branches if kind in KINDS), "text")


def _limits(node: Mapping[str, Any]) -> Mapping[str, float]:
    """Limits of the value, wherever the schema has put them."""
    names = ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum")
    branches = [branch for branch in (*node.get("anyOf", ()), node) if branch.get("type") in {"number", "integer"}]
    return {name: branch[name] for branch in branches for name in names if name in branch}


def _unit(path: str, description: str, kind: str) -> str | None:
    if kind not in {"number", "integer"}:
        return None
    found = UNIT.search(description)
    stated = found[1] if found else ""
    if stated.startswith("degrees"):
        return "degrees"
    if stated in {"", "1"}:
        return SHARE if "share" in path or "share" in description or path.endswith((".survival", "light")) else None
    return stated


def _help(description: str, label: str) -> str:
    """The schema's own words without the unit, as a sentence; nothing where they only repeat the label."""
    words = " ".join(UNIT.sub("", description).replace(" ,", ",").replace(" ;", ";").split())
    words = re.sub(r"\btrue: ", "if so: ", re.sub(r"\bfalse: ", "if not: ", words))
    if words.lower() == label.lower() or not words:
        return ""
    return f"{words[:1].upper()}{words[1:]}{'' if words.endswith('?') else '.'}"


def _source(node: Mapping[str, Any], default: object) -> str:
    if node.get("needed"):
        return FROM_THE_PLAN
    return LEFT_OUT if default is None else FROM_THE_FORMAT
