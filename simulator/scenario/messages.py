"""What the schema found wrong, said the way a person would say it."""

import difflib
import math
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, Final, NamedTuple

from pydantic import BaseModel, ValidationError

from simulator.scenario.lines import FieldPath
from simulator.scenario.model import Scenario

LONGEST_VALUE_SHOWN: Final = 60
TABLES_NAMED: Final = ("stand", "money")
"""Tables that descriptions name in brackets, which otherwise hold units."""
_NUMBERS: Final = {"integer": "a whole number", "number": "a number"}
_OTHERS: Final = {"string": "text in quotes", "boolean": "true or false"}
_DAY: Final = "a day written as year-month-day, such as 2025-03-03"


class Finding(NamedTuple):
    """A field that breaks the schema: what was expected, what was received and what to do."""

    path: FieldPath
    rule: str
    received: str
    remedy: str


def schema_findings(
    error: ValidationError, document: Mapping[str, Any], model: type[BaseModel] = Scenario
) -> list[Finding]:
    """Say in plain words each thing that the schema refused, once a field.

    Parameters
    ----------
    error
        What pydantic raised for the document.
    document
        The document it was raised for.
    model
        What kind of file the document is; the title of its schema is what a person calls it.

    Returns
    -------
    list of Finding
        One for each faulty field, in the order of the schema.
    """
    kinds: dict[FieldPath, str] = {}
    undecided: set[FieldPath] = set()
    for detail in error.errors(include_url=False, include_context=False, include_input=False):
        path, inside_union = _path_in_document(detail["loc"], document, missing=detail["type"] == "missing")
        # an entry that a short list lacks is a fault of the list
        kinds.setdefault(path, "too_short" if isinstance(detail["loc"][-1], int) else detail["type"])
        if inside_union:
            undecided.add(path)
    # a table where a number or a table may stand: only what is wrong inside the table is of use
    vague = {path for path in undecided if any(other[: len(path)] == path != other for other in kinds)}
    return [_finding(path, kind, document, model) for path, kind in kinds.items() if path not in vague]


def field_name(path: FieldPath) -> str:
    """Write a path for people, entries of a list counted from 1: ``thinning[1].year``."""
    name = ""
    for part in path:
        if isinstance(part, int):
            name += f"[{part + 1}]"
        else:
            name += f".{part}" if name else part
    return name


def shown(value: object) -> str:
    """Write a value as it would stand in the file, cut short where it is long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}" if len(value) > 2 else "[" + ", ".join(shown(part) for part in value) + "]"
    try:
        text = f'"{value}"' if isinstance(value, str) else str(value)
    except ValueError:  # Python refuses to write integers of thousands of digits
        return "a number with thousands of digits"
    return text if len(text) <= LONGEST_VALUE_SHOWN else f"{text[: LONGEST_VALUE_SHOWN - 3]}..."


def nearest(name: str, known: Iterable[str]) -> str:
    """Suggest the nearest of the known names, as a sentence; empty where none is near."""
    close = difflib.get_close_matches(name.lower(), list(known), n=1, cutoff=0.6)
    return f'Did you mean "{close[0]}"?' if close else ""


def value_at(document: object, path: FieldPath) -> object:
    """Value at a path of a document, ``None`` where there is none."""
    for part in path:
        try:
            document = document[part]  # type: ignore[index]
        except (KeyError, IndexError, TypeError):
            return None
    return document


def _path_in_document(loc: tuple[str | int, ...], document: object, *, missing: bool) -> tuple[FieldPath, bool]:
    """Drop pydantic's names of union branches from a location."""
    path: FieldPath = ()
    inside_union = False
    for number, part in enumerate(loc, start=1):
        found = (isinstance(document, Mapping) and part in document) or (
            isinstance(document, list | tuple) and isinstance(part, int) and part < len(document)
        )
        if found:
            document = document[part]  # type: ignore[index]
            path += (part,)
        elif isinstance(part, int):
            break
        elif missing and number == len(loc):
            path += (part,)
        else:
            inside_union = True
    return path, inside_union


def _finding(path: FieldPath, kind: str, document: Mapping[str, Any], model: type[BaseModel]) -> Finding:
    value = value_at(document, path)
    node = _node(path, model)
    if kind == "missing":
        return Finding(path, "is missing", "", _how_to_add(path, node))
    if kind == "extra_forbidden":
        table = _table_name(path[:-1], model)
        return Finding(path, f"is not a field of {table}", shown(value), _where_instead(path, model))
    return Finding(path, f"must be {_expected(path, node)}", shown(value), _how_to_mend(value, node))


def _table_name(path: FieldPath, model: type[BaseModel] = Scenario) -> str:
    if not path:
        return "a scenario" if model is Scenario else str(schema_of(model)["title"])
    brackets = "[[{}]]" if isinstance(path[-1], int) else "[{}]"
    return brackets.format(".".join(part for part in path if isinstance(part, str)))


def _how_to_add(path: FieldPath, node: Mapping[str, Any]) -> str:
    if "properties" in node:
        return f"Add a table [{field_name(path)}]; 'halfshade init' prints one."
    meaning = node.get("description")
    if path == ("format",):
        return "Write format = 1 on the first line."
    return f"Add it: {meaning}." if meaning else "Add it."


def _where_instead(path: FieldPath, model: type[BaseModel]) -> str:
    key = str(path[-1])
    siblings = list(_node(path[:-1], model).get("properties", {}))
    if suggestion := nearest(key, siblings):
        return suggestion
    if elsewhere := [table for table, node in _tables(model).items() if key in node["properties"]]:
        return f"It belongs in {' or '.join(elsewhere)}."
    return f"Known here: {', '.join(siblings)}."


def _how_to_mend(value: object, node: Mapping[str, Any]) -> str:
    kinds = {branch.get("type") for branch in _branches(node)}
    wants_number = bool(kinds & {"number", "integer"})
    if isinstance(value, float) and not math.isfinite(value):
        return "Write an ordinary number: nan and inf are not amounts."
    if wants_number and isinstance(value, str) and _is_number(value):
        return "Take the quotes off."
    if isinstance(value, str) and (suggestion := nearest(value, map(str, node.get("enum", ())))):
        return suggestion
    if kinds & {"integer"} and isinstance(value, float) and value.is_integer():
        return f"Write {value:.0f}, without a decimal point."
    meaning = node.get("description")
    end = "" if str(meaning).endswith("?") else "."
    return f"Meaning: {meaning}{end}" if meaning and "properties" not in node else ""


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


@cache
def schema_of(model: type[BaseModel]) -> dict[str, Any]:
    """Schema of a kind of file with every reference in place; nobody changes it."""
    schema = model.model_json_schema()
    inlined: dict[str, Any] = _resolved(schema, schema["$defs"])
    return inlined


@cache
def _tables(model: type[BaseModel]) -> dict[str, Mapping[str, Any]]:
    tables = {}
    for name, node in schema_of(model)["properties"].items():
        branch = _branches(node)[0]
        is_list = branch.get("type") == "array"
        section = branch["items"] if is_list else branch
        if "properties" in section:
            tables[f"[[{name}]]" if is_list else f"[{name}]"] = section
    if model is Scenario:
        tables["[trees.layout]"] = _node(("trees", "layout"), model)
    return tables


def _resolved(node: Any, definitions: Mapping[str, Any]) -> Any:  # noqa: ANN401 - any JSON value
    """Put what a reference names in its place, all the way down."""
    if isinstance(node, list):
        return [_resolved(part, definitions) for part in node]
    if not isinstance(node, dict):
        return node
    whole = {key: _resolved(part, definitions) for key, part in node.items() if key not in {"$ref", "$defs"}}
    reference = node.get("$ref")
    return {**_resolved(definitions[reference.rsplit("/", 1)[1]], definitions), **whole} if reference else whole


def _branches(node: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return [branch for branch in node.get("anyOf", [node]) if branch.get("type") != "null"]


def _node(path: FieldPath, model: type[BaseModel]) -> Mapping[str, Any]:
    """Schema of a field, empty where the schema does not know it."""
    node: Mapping[str, Any] = schema_of(model)
    for part in path:
        node = _child(node, part)
    branches = _branches(node)
    return {**branches[0], **node} if len(branches) == 1 else node


def _child(node: Mapping[str, Any], part: str | int) -> Mapping[str, Any]:
    for branch in _branches(node):
        if isinstance(part, int):
            items = branch.get("items") or next(iter(branch.get("prefixItems", [])), None)
            if isinstance(items, Mapping):
                return items
        elif part in branch.get("properties", {}):
            child: Mapping[str, Any] = branch["properties"][part]
            return child
        elif isinstance(branch.get("additionalProperties"), Mapping):
            rest: Mapping[str, Any] = branch["additionalProperties"]
            return rest
    return {}


def _expected(path: FieldPath, node: Mapping[str, Any]) -> str:
    return " or ".join(_expected_of(path, branch, str(node.get("description", ""))) for branch in _branches(node))


def _expected_of(path: FieldPath, node: Mapping[str, Any], description: str) -> str:
    if "const" in node or "enum" in node:
        choices = [shown(choice) for choice in node.get("enum", [node.get("const")])]
        return choices[0] if len(choices) == 1 else f"one of {', '.join(choices)}"
    kind = node.get("type")
    if kind in _NUMBERS:
        return f"{_NUMBERS[kind]}{_range(node, description)}"
    if kind == "array":
        return _expected_list(path, node)
    if kind == "object" and "properties" in node:
        return f"a table: write {_table_name(path)}, once"
    return _DAY if node.get("format") == "date" else f"{_OTHERS.get(str(kind), 'a table')}{_length(node)}"


def _expected_list(path: FieldPath, node: Mapping[str, Any]) -> str:
    if "prefixItems" in node:
        return f"a list of {len(node['prefixItems'])} whole numbers, such as [1, 3]"
    items = node.get("items", {})
    if "properties" in items:
        return f"written as [[{field_name(path)}]], with double brackets, once for each"
    sample = {"integer": "[14, 16]", "number": "[0.5, 0.65]", "string": '["a word"]'}
    choices = [shown(choice) for choice in items.get("enum", [])]
    such = f"[{', '.join(choices[:2])}]" if choices else sample.get(str(items.get("type")), "[...]")
    least = f"{node['minItems']} to" if "minItems" in node else "at most"
    count = f" of {least} {node['maxItems']}" if "maxItems" in node else ""
    return f"a list{count} in square brackets, such as {such}"


def _length(node: Mapping[str, Any]) -> str:
    """Most letters of a text, and that what steers a screen is refused."""
    if "maxLength" not in node:
        return ""
    clean = " without control characters" if "\\p{Cc}" in node.get("pattern", "") else ""
    return f" of at most {node['maxLength']:,} letters{clean}"


def _range(node: Mapping[str, Any], description: str) -> str:
    low, above = node.get("minimum"), node.get("exclusiveMinimum")
    high, below = node.get("maximum"), node.get("exclusiveMaximum")
    if low is not None and high is not None:
        text = f" from {low:,g} to {high:,g}"
    else:
        bounds = ((low, "at least"), (above, "above"), (high, "at most"), (below, "below"))
        stated = [f"{words} {bound:,g}" for bound, words in bounds if bound is not None]
        text = f" {' and '.join(stated)}" if stated else ""
    unit = description.partition("[")[2].partition("]")[0]
    is_unit = unit not in {"", "1", *TABLES_NAMED}
    return f"{text} {unit}" if text and is_unit else text
