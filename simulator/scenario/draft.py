"""A scenario document that may still have faults, as the rules read it."""

from collections.abc import Mapping
from functools import cache
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from simulator.errors import Problem
from simulator.scenario.base import Section
from simulator.scenario.lines import FieldPath, Locate
from simulator.scenario.messages import field_name, schema_findings, shown
from simulator.scenario.model import Scenario


class Draft:
    """Values that passed the schema, defaults where nothing was written, ``None`` where the value is faulty.

    A rule can so speak about the sound part of a file while another part is wrong.

    Attributes
    ----------
    document
        The tables as written.
    name
        What to call the file in messages.
    scenario
        The valid scenario, ``None`` where the schema found faults.
    schema_problems
        What the schema found.
    """

    def __init__(
        self,
        document: Mapping[str, Any],
        locate: Locate,
        name: str,
        *,
        prefix: FieldPath = (),
        unread: frozenset[FieldPath] = frozenset(),
    ) -> None:
        self.document = document
        self._unread = unread
        self.name = name
        self._locate = locate
        self._prefix = prefix
        self.scenario: Scenario | None = None
        self.schema_problems: list[Problem] = []
        faulty: set[FieldPath] = set(unread)
        try:
            self.scenario = Scenario.model_validate(document)
        except ValidationError as error:
            for path, rule, received, remedy in schema_findings(error, document):
                faulty.add(path)
                provided = prefix and _belongs_to_what_is_overridden(path, document)
                if not provided and path not in unread:
                    self.schema_problems.append(self.problem(path, rule, remedy=remedy, received=received))
        self._values = _filled(Scenario, document, (), faulty)

    def get(self, *path: str | int) -> Any:  # noqa: ANN401 - whatever the schema has there
        """Value of a field: as written, its default, or ``None`` where it is faulty or has no value."""
        value: Any = self._values
        for part in path:
            if value is None:
                return None
            value = value[part] if isinstance(part, int) else value.get(part)
        return value

    def entries(self, table: str) -> list[Mapping[str, Any]]:
        """Entries of an array of tables; an entry that is no table is empty."""
        return [entry or {} for entry in self.get(table) or ()]

    def written(self, *path: str) -> bool:
        """Whether the file itself holds the field, sound, faulty or unreadable."""
        if path in self._unread:
            return True
        value: Any = self.document
        for part in path:
            if not isinstance(value, Mapping) or part not in value:
                return False
            value = value[part]
        return True

    def written_entry(self, table: str, number: int, key: str) -> bool:
        """Whether one entry of an array of tables holds the field, sound, faulty or unreadable."""
        if (table, number, key) in self._unread:
            return True
        entry = self.document[table][number]
        return isinstance(entry, Mapping) and key in entry

    def problem(self, path: FieldPath, rule: str, *, remedy: str = "", received: str | None = None) -> Problem:
        """Make a problem of a field, with its line; the value received is looked up unless given."""
        if received is None:
            value = self.get(*path)
            received = "" if value is None else shown(value)
        full = self._prefix + path
        return Problem(field_name(full), rule, received, remedy, self.name, self._locate(full))

    def override(self, single_use: str) -> "Draft":
        """Read the tables of ``[baseline.plantation]`` or ``[baseline.pasture]`` as a draft of their own."""
        tables = self.get("baseline", single_use) or {}
        prefix = ("baseline", single_use)
        unread = frozenset(path[2:] for path in self._unread if path[:2] == prefix)
        return Draft(tables, self._locate, self.name, prefix=prefix, unread=unread)


def _belongs_to_what_is_overridden(path: FieldPath, document: Mapping[str, Any]) -> bool:
    """Whether a field is absent from an override because the scenario itself provides it."""
    if any(isinstance(part, int) for part in path):
        return False
    value: Any = document
    for part in path:
        if not isinstance(value, Mapping) or part not in value:
            return True
        value = value[part]
    return False


def _filled(model: type[Section], table: Mapping[str, Any], path: FieldPath, faulty: set[FieldPath]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for attribute, field in model.model_fields.items():
        name = field.alias or attribute
        here = (*path, name)
        if here in faulty:
            values[name] = None
        elif name in table:
            values[name] = _sound(_section_in(field.annotation), table[name], here, faulty)
        elif field.is_required():
            values[name] = None
        else:
            values[name] = _default(model, attribute)
    return values


@cache
def _default(model: type[Section], attribute: str) -> Any:  # noqa: ANN401 - whatever the schema has there
    """Default of a field as tables; rules only read it, so that every draft may share it."""
    default = model.model_fields[attribute].get_default(call_default_factory=True)
    return default.model_dump() if isinstance(default, BaseModel) else default


def _sound(section: type[Section] | None, value: Any, path: FieldPath, faulty: set[FieldPath]) -> Any:  # noqa: ANN401
    if path in faulty:
        return None
    if isinstance(value, list):
        return [_sound(section, entry, (*path, number), faulty) for number, entry in enumerate(value)]
    if not isinstance(value, Mapping):
        return value
    if section is not None:
        return _filled(section, value, path, faulty)
    return {key: None if (*path, key) in faulty else entry for key, entry in value.items()}


def _section_in(annotation: Any) -> type[Section] | None:  # noqa: ANN401 - any annotation
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return annotation
    return next((found for part in get_args(annotation) if (found := _section_in(part))), None)
