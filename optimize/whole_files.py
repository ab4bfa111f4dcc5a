"""Files that a reader finds old or new and never in part, and what is said where they cannot be written."""

import contextlib
import errno
import os
import secrets
from pathlib import Path
from typing import Final

from simulator.errors import InputError, Problem

UNFINISHED: Final = ".halfshade-*.part"
"""Names of files that are being written, or were when their process was killed."""
NO_ROOM: Final = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is full",
    errno.EFBIG: "files may not grow so large here",
}


def unfinished_beside(path: Path) -> Path:
    """A name in the same folder, and so on the same file system, that nobody else has."""
    return path.parent / f".halfshade-{secrets.token_hex(8)}.part"


def write_atomically(path: Path, content: bytes | str) -> None:
    """Write a file so that a reader finds the old content or the new, never a part.

    Parameters
    ----------
    path
        The file; its folder exists. A file of this name is replaced, others are untouched.
    content
        Bytes as they are; text as UTF-8 with its line ends as they are.

    Raises
    ------
    InputError
        Where the file cannot be written there.
    """
    temporary = unfinished_beside(path)
    try:
        # opened by name and not by tempfile, so that the person's umask decides who may read it
        with temporary.open("xb") as stream:
            stream.write(content.encode() if isinstance(content, str) else content)
            stream.flush()
            os.fsync(stream.fileno())
        temporary.replace(path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)


def cannot_write(path: Path, error: OSError, field: str = "") -> InputError:
    """What to say where the system refused a file or folder.

    Parameters
    ----------
    path
        What could not be written.
    error
        What the system said.
    field
        Option that named it.
    """
    full = NO_ROOM.get(error.errno or 0)
    rule = f"{path} cannot be written: {full or (error.strerror or str(error)).lower()}"
    remedy = "Make room and give the same command again." if full else "Name a folder in which you may write."
    return InputError([Problem(field=field, rule=rule, remedy=remedy)])
