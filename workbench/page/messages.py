"""What the server and the computing process say to each other; light, so that the server stays so."""

import json
from pathlib import Path
from typing import Any, Final, NamedTuple

JSON: Final = "application/json"
OK: Final = 200
BAD_REQUEST: Final = 400
UNPROCESSABLE: Final = 422
FAULT: Final = 500
NOT_THERE_YET: Final = 501
TAKEN: Final = "taken"
"""What the computing process says as soon as it has a question, before it works on it."""


class Settings(NamedTuple):
    """What the computing process is told once, when it starts.

    Attributes
    ----------
    file
        The file named on the command line, if one was.
    own_table
        Price table beside that file that it names, the only file of prices that is read from disk.
    """

    file: Path | None = None
    own_table: str | None = None

    @property
    def beside(self) -> Path | None:
        """Folder in which the own price table lies."""
        return self.file.parent if self.file is not None else None


class Asked(NamedTuple):
    """One thing to compute.

    Attributes
    ----------
    what
        Name of the answer, see `workbench.page.answers`.
    given
        What it is computed from: a plan as nested tables, a text, an id.
    """

    what: str
    given: Any = None


class Reply(NamedTuple):
    """One answer, ready to be sent on.

    Attributes
    ----------
    status
        As of HTTP.
    body
        Content.
    kind
        Its media type.
    name
        File name where it is meant to be saved.
    """

    status: int
    body: bytes
    kind: str = JSON
    name: str | None = None


def json_reply(document: object, status: int = OK) -> Reply:
    """A document as compact JSON."""
    return Reply(status, json.dumps(document, allow_nan=False, separators=(",", ":")).encode())


def message_reply(message: str, status: int) -> Reply:
    """One sentence for the person, as JSON."""
    return json_reply({"message": message}, status)


def spliced(first: dict[str, object], body: bytes) -> bytes:
    """A JSON object with further keys in front, without reading it."""
    head = json.dumps(first, allow_nan=False, separators=(",", ":"))[:-1].encode()
    rest = body.lstrip()[1:]
    return head + (b"" if rest.lstrip().startswith(b"}") or not first else b",") + rest
