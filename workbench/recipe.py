"""What every output folder carries so that its results can be repeated and cited: inputs, options, editions."""

import json
from pathlib import Path
from typing import Any, Final

import click

from workbench.output import json_text, write_atomically

NAME: Final = "made-with.json"
NOT_OPTIONS: Final = ("out", "as_json", "workers")
"""Parameters that do not change a result."""


def leave_recipe(folder: Path, *inputs: Path | None) -> Path:
    """Write into a folder what made its files.

    Parameters
    ----------
    folder
        An existing folder.
    inputs
        Files that were read; ``None`` stands for the packaged example.

    Returns
    -------
    Path
        The file written: command and options as typed, the inputs in full with their hashes, versions and hashes of
        the program and of its numbers.
    """
    from optimize import editions  # noqa: PLC0415 - asked only where files are written

    texts = dict(_text_of(path) for path in inputs)
    document = {
        "command": _command(),
        "options": _options(set(inputs)),
        **edition_document(),
        "inputs": {name: {"sha256": editions.sha256(text.encode()), "text": text} for name, text in texts.items()},
    }
    path = folder / NAME
    write_atomically(path, json_text(document))
    return path


def edition_document() -> dict[str, Any]:
    """Versions of the program and its libraries, and hashes of its code and of every file of numbers."""
    from optimize import editions  # noqa: PLC0415

    return {
        "halfshade": {"version": editions.version() or None, "code_sha256": editions.code_hash()},
        "libraries": editions.library_versions(),
        "numbers_sha256": editions.number_hashes(),
    }


def _text_of(path: Path | None) -> tuple[str, str]:
    if path is None:
        from workbench.examples import example_text  # noqa: PLC0415

        return "scenario.toml", example_text()
    return path.name, path.read_text(encoding="utf-8-sig", errors="replace")


def _command() -> str:
    context = click.get_current_context(silent=True)
    return f"halfshade {context.info_name}" if context is not None else ""


def _options(inputs: set[Path | None]) -> dict[str, Any]:
    context = click.get_current_context(silent=True)
    given = {} if context is None else context.params
    kept = {name: value for name, value in given.items() if name not in NOT_OPTIONS and value not in inputs}
    plain: dict[str, Any] = json.loads(json.dumps(kept, default=str))
    return plain
