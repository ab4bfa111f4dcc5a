"""What the page opens with: its forms, and the first comparison, which is begun before anybody asks for it."""

import asyncio
import contextlib
import json
from typing import Any

from starlette.exceptions import HTTPException

from workbench.page.computing import Computing
from workbench.page.messages import OK, Asked, Reply

TITLE = "Halfshade"
TRIES = 3
"""How often the form is asked for before the page says that it cannot work."""


class First:
    """Form and first version, fetched once and kept.

    Attributes
    ----------
    title
        Of the page.
    """

    def __init__(self, computing: Computing) -> None:
        self._computing = computing
        self._form: dict[str, Any] | None = None
        self._version: Reply | None = None
        self._form_turn, self._version_turn = asyncio.Lock(), asyncio.Lock()
        file = computing.settings.file
        self._file = file.name if file is not None else None
        self.title = f"{file.stem} - {TITLE}" if file is not None else TITLE

    async def fetch(self) -> None:
        """Ask for both, in the order in which they are needed."""
        with contextlib.suppress(HTTPException):  # told to whoever asks for the page
            await self._opening()
            await self._first_version()

    async def form(self) -> list[dict[str, Any]]:
        """Groups of fields, for the templates."""
        groups: list[dict[str, Any]] = (await self._opening())["form"]
        return groups

    def version_if_ready(self) -> bytes | None:
        """The first version, where it is there already."""
        return self._version.body if self._version is not None and self._version.status == OK else None

    async def start(self) -> Reply:
        """Form, first version, name of the file, and the examples."""
        opening, version = await self._opening(), await self._first_version()
        if version.status != OK:
            return version
        head = json.dumps({**opening, "file": self._file}, separators=(",", ":")).encode()
        return Reply(OK, head[:-1] + b',"version":' + version.body + b"}")

    async def _opening(self) -> dict[str, Any]:
        async with self._form_turn:
            for _ in range(TRIES):
                if self._form is not None:
                    return self._form
                reply = await self._computing.ask(Asked("form"))
                self._form = json.loads(reply.body) if reply.status == OK else None
        if self._form is None:
            raise HTTPException(503)
        return self._form

    async def _first_version(self) -> Reply:
        async with self._version_turn:
            if self._version is not None:
                return self._version
            reply = await self._computing.ask(Asked("first"))
            if reply.status == OK:
                self._version = reply
            return reply
