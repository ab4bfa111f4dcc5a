"""What every output folder carries so that its results can be repeated and cited: inputs, options, editions."""

import json
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final

import click

from optimize.whole_files import write_atomically
from workbench.output import json_text

NAME: Final = "made-with.json"
_EXAMPLE: Final = "scenario.toml"
NOT_OPTIONS: Final = ("out", "as_json", "workers", "files")
"""Parameters that do not change a result, and files, which stand among the inputs."""


def leave_recipe(folder: Path, *inputs: Path | None, stand: bool = False) -> Path:
    """Write into a folder what made its files.

    Parameters
    ----------
    folder
        An existing folder.
    inputs
        Files that were read; ``None`` stands for the packaged example. Price tables that they name are added.
    stand
        Whether the packaged example is the one with trees that stand already.

    Returns
    -------
    Path
        The file written: command and options as typed, the inputs in full with their hashes, versions and hashes of
        the program and of its numbers.
    """
    from optimize import editions  # noqa: PLC0415 - asked only where files are written

    texts = {_EXAMPLE: _example(stand=stand)} if None in inputs else {}
    texts |= _texts(_with_price_tables(path for path in inputs if path is not None))
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


def _example(*, stand: bool) -> str:
    from workbench.examples import example_text, stand_example_text  # noqa: PLC0415

    return stand_example_text() if stand else example_text()


def _texts(paths: Iterable[Path]) -> dict[str, str]:
    """Texts by file name; files of one name in several folders are told apart by their folders."""
    texts: dict[str, str] = {}
    for path in dict.fromkeys(paths):
        texts[path.as_posix() if path.name in texts else path.name] = _text_of(path)
    return texts


def _text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8-sig", errors="replace")


def _with_price_tables(paths: Iterable[Path]) -> Iterator[Path]:
    for path in paths:
        yield path
        named = _price_table(path) if path.suffix == ".toml" else ""
        if named.endswith(".toml") and (path.parent / named).is_file():
            yield path.parent / named


def _price_table(path: Path) -> str:
    try:
        money = tomllib.loads(_text_of(path)).get("money")
    except tomllib.TOMLDecodeError:
        return ""
    return str(money.get("price_table", "")) if isinstance(money, dict) else ""


def _command() -> str:
    context = click.get_current_context(silent=True)
    return f"halfshade {context.info_name}" if context is not None else ""


def _options(inputs: set[Path | None]) -> dict[str, Any]:
    context = click.get_current_context(silent=True)
    given = {} if context is None else context.params
    kept = {name: value for name, value in given.items() if name not in NOT_OPTIONS and value not in inputs}
    plain: dict[str, Any] = json.loads(json.dumps(kept, default=str))
    return plain
