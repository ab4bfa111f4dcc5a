"""Files that a person names: read whole and no further than is sensible, or refused in words; never waited for."""

import stat
from pathlib import Path
from typing import Final, NamedTuple

from simulator.errors import InputError, Problem

_UTF16_MARKS: Final = (b"\xff\xfe", b"\xfe\xff")


class Kind(NamedTuple):
    """What sort of file is wanted, as a message says it.

    Attributes
    ----------
    most_bytes
        Larger files are refused, and never read beyond.
    absent
        What to do where there is none, or where it is no text at all.
    instead
        What to name in place of a folder, a pipe or a device.
    too_large
        What to do about a larger one.
    save
        How to save it again, where it is no UTF-8 text.
    """

    most_bytes: int
    absent: str
    instead: str
    too_large: str
    save: str


def is_file(path: Path) -> bool:
    """Whether there is an ordinary file of this name; a name that cannot be one is none."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def text_of(path: Path, kind: Kind) -> str:
    """Read a text file that a person named.

    Parameters
    ----------
    path
        Its name; links are followed.
    kind
        What is wanted.

    Returns
    -------
    str
        Its text, without a byte order mark, line ends as they are.

    Raises
    ------
    InputError
        Where it is absent, no ordinary file, unreadable, too large, or not UTF-8 text.
    """
    data, name = bytes_of(path, kind), str(path)
    if data.startswith(_UTF16_MARKS) or _looks_like_utf16(data):
        raise InputError([Problem("", "is UTF-16 text; it must be UTF-8", "", kind.save, name)])
    if b"\0" in data:
        raise InputError([Problem("", "is not a text file", "", kind.absent, name)])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        received = f"byte {data[error.start]:#04x}"
        raise InputError([Problem("", "is not UTF-8 text", received, kind.save, name, line)]) from error


def bytes_of(path: Path, kind: Kind) -> bytes:
    """Read a file that a person named, whatever is in it.

    Parameters
    ----------
    path
        Its name; links are followed.
    kind
        What is wanted.

    Raises
    ------
    InputError
        Where it is absent, no ordinary file, unreadable or too large.
    """
    name = str(path)
    try:
        # asked before opening: a pipe would wait for ever
        mode = path.stat().st_mode
        if stat.S_ISREG(mode):
            with path.open("rb") as stream:
                data = stream.read(kind.most_bytes + 1)
    except FileNotFoundError:
        raise InputError([Problem("", "does not exist", "", f"Check the name. {kind.absent}", name)]) from None
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise InputError(
            [Problem("", f"cannot be read: {reason}", "", "Check the name and its rights.", name)]
        ) from error
    if stat.S_ISDIR(mode):
        raise InputError([Problem("", "is a folder, not a file", "", kind.instead, name)])
    if not stat.S_ISREG(mode):
        raise InputError([Problem("", "is not an ordinary file", "", kind.instead, name)])
    if len(data) > kind.most_bytes:
        rule = f"is larger than {kind.most_bytes / 1e6:g} MB"
        raise InputError([Problem("", rule, "", kind.too_large, name)])
    return data


def _looks_like_utf16(data: bytes) -> bool:
    """Whether every other byte is zero, as in plain letters of two bytes each."""
    head = data[:200]
    return len(head) >= 4 and any(not any(head[side::2]) and 0 not in head[1 - side :: 2] for side in (0, 1))
