"""What a command leaves behind: one JSON document, plain tables, and files that are whole or not there."""

import contextlib
import json
import math
import os
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from optimize.whole_files import UNFINISHED, cannot_write, unfinished_beside
from simulator.errors import InputError, Problem
from workbench.stopping import tell

if TYPE_CHECKING:
    from rich.console import Console

WIDTH_WHEN_NOT_A_TERMINAL: Final = 120
KEPT_UNFINISHED_S: Final = 86_400.0
"""An unfinished file may be another run's for so long [s]: a day also where a shared folder shifts times by a zone."""


def prepare_folder(path: Path, *, field: str = "--out") -> Path:
    """Create the folder that a person named and prove that files can be written in it.

    Parameters
    ----------
    path
        The folder; missing parents are created too. What is already in it stays. Folders that a command created and
        that are empty when it ends, because it refused after all, are taken away again.
    field
        Option or field to name in the message.

    Returns
    -------
    Path
        The same folder.

    Raises
    ------
    InputError
        Where the path is a file or cannot be created or written in.
    """
    probe = unfinished_beside(path / "probe")
    try:
        missing = [folder for folder in (path, *path.parents) if not folder.exists()]
        path.mkdir(parents=True, exist_ok=True)
        _take_back_at_the_end(missing)
        probe.touch(exist_ok=False)
        _clear_old(path, before=probe.stat().st_mtime - KEPT_UNFINISHED_S)
        probe.unlink()
    except (FileExistsError, NotADirectoryError):
        nowhere = path.is_symlink() and not path.exists()
        rule = f"{path} is {'a link that leads nowhere' if nowhere else 'a file, not a folder'}"
        remedy = "Name a folder in which you may write."
        raise InputError([Problem(field=field, rule=rule, remedy=remedy)]) from None
    except OSError as error:
        raise cannot_write(path, error, field) from error
    return path


def _clear_old(folder: Path, *, before: float) -> None:
    """Remove what killed runs left; the times are all of the folder's own clock, so no other clock matters."""
    for left in folder.glob(UNFINISHED):
        with contextlib.suppress(OSError):  # another run may be clearing too
            if left.stat().st_mtime < before:
                left.unlink()


def refuse_taken(path: Path, field: str, another: str, *, force: bool = False) -> None:
    """Refuse, before anything is computed, a file that cannot be written or that would replace another.

    Parameters
    ----------
    path
        The file to be.
    field
        Option to name in the message.
    another
        What to do where the file is there already.
    force
        Whether it may replace a file.

    Raises
    ------
    InputError
        Where the name is taken, is none, or lies in a folder that is not there or cannot be written in.
    """
    try:
        taken, folder, beside = path.exists(), path.is_dir(), path.parent.is_dir()
    except (OSError, ValueError) as error:
        rule = f"cannot be a file: {(getattr(error, 'strerror', None) or str(error)).lower()}"
        raise InputError([Problem(field, rule, str(path), "Name another file.")]) from error
    if folder:
        raise InputError([Problem(field, "is a folder", str(path), "Name a file.")])
    if taken and not force:
        raise InputError([Problem(field, "exists already", str(path), another)])
    if not beside:
        raise InputError([Problem(field, "lies in a folder that is not there", str(path), "Make it first.")])
    prepare_folder(path.parent, field=field)


def _take_back_at_the_end(made: Sequence[Path]) -> None:
    """Remove folders, innermost first, when the command ends and nothing was written into them."""

    def take_back() -> None:
        with contextlib.suppress(OSError):  # one that is not empty stays, and with it those around it
            for folder in made:
                folder.rmdir()

    context = click.get_current_context(silent=True)
    if context is not None:
        context.call_on_close(take_back)


def json_text(document: object) -> str:
    """Return one JSON document as text, keys in the order given, without NaN.

    Parameters
    ----------
    document
        Mappings, sequences, arrays, numbers, text and ``None``; NaN and infinities become ``null``.

    Returns
    -------
    str
        ASCII text that ends in a line end, so that no terminal or encoding can spoil it.

    Raises
    ------
    TypeError
        Where something has no JSON form.
    """
    return json.dumps(plain(document), indent=2, allow_nan=False) + "\n"


def print_text(text: str) -> None:
    """Print text as it is on standard output; letters that the terminal lacks become question marks."""
    # the stream is named, because click would send UTF-8 to a terminal that says it knows only ASCII
    click.echo(text, file=sys.stdout, nl=False)


def print_json(document: object) -> None:
    """Print one JSON document on standard output, see `json_text`."""
    print_text(json_text(document))


def plain(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """A document as JSON can hold it: mappings and lists of plain values, without NaN.

    Parameters
    ----------
    value
        Mappings, sequences, arrays, numbers, text and ``None``; NaN and infinities become ``None``.

    Returns
    -------
    object
    """
    if hasattr(value, "tolist"):  # numpy arrays and scalars, without importing numpy
        value = value.tolist()
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str | bytes):
        return [plain(item) for item in value]
    if isinstance(value, float):
        return value + 0.0 if math.isfinite(value) else None  # + 0.0 turns -0.0 into 0.0
    if isinstance(value, os.PathLike):
        return os.fspath(value)
    return value


def print_table(
    title: str, columns: Sequence[str], rows: Iterable[Sequence[str]], *, note: str = "", words: int = 1
) -> None:
    """Print a table for people on standard output: columns of words left, the others right.

    Parameters
    ----------
    title
        Heading above the table.
    columns
        Column headings with their units.
    rows
        One sequence of ready text for each row; taken literally, never as markup.
    note
        A line below the table.
    words
        How many columns from the left hold words.
    """
    from rich import box  # noqa: PLC0415 - rich costs more than the whole of --help
    from rich.table import Table  # noqa: PLC0415

    table = Table(box=box.SIMPLE_HEAD)
    for number, heading in enumerate(columns):
        table.add_column(heading, justify="left" if number < words else "right")
    for row in rows:
        table.add_row(*row)
    console = _console()
    unbounded = console.options.update(width=10 * WIDTH_WHEN_NOT_A_TERMINAL)
    if console.measure(table, options=unbounded).maximum > console.width:
        table.padding = 0  # many columns stand closer together before a heading is cut short
    with console.capture() as drawn:  # drawn first, so that a closed pipe is met in one place, the echo
        console.print(table)
    body = "\n".join(line.rstrip() for line in drawn.get().strip("\n").splitlines())
    print_text("\n".join(part for part in (title, body, note) if part) + "\n")


def _console() -> "Console":
    from rich.console import Console  # noqa: PLC0415

    plain: dict[str, Any] = {"markup": False, "emoji": False, "highlight": False, "file": sys.stdout}
    if sys.stdout is not None and sys.stdout.isatty():
        return Console(**plain)
    return Console(**plain, force_terminal=False, width=WIDTH_WHEN_NOT_A_TERMINAL)


def print_note(message: str) -> None:
    """Tell the person something on standard error, where it cannot spoil what another program reads."""
    tell(f"halfshade: note: {message}")
