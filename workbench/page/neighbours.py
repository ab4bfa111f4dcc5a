"""Whose program is at the other end of a connection inside this machine, where the system tells."""

import ipaddress
import os
import sys
from pathlib import Path
from typing import Final

TABLES: Final = {4: Path("/proc/net/tcp"), 6: Path("/proc/net/tcp6")}
"""Connections of this machine as Linux lists them (manual page proc(5)); elsewhere there is no such file."""
LOCAL, REMOTE, USER, INODE = 1, 2, 7, 9
"""Columns."""
NOBODY: Final = -1
"""A connection that its program has let go of already."""
ROOT: Final = 0
Place = tuple[str, int]


def is_anothers(client: Place | None, server: Place | None) -> bool:
    """Whether a connection comes from another user of this machine.

    Parameters
    ----------
    client, server
        Address and port of either end.

    Returns
    -------
    bool
        False where the system does not tell, and for the administrator, who may do anything anyway.
    """
    if client is None or server is None or not hasattr(os, "getuid"):
        return False
    user = user_of(client, server)
    return user is not None and user not in owners()


def owners() -> set[int]:
    """Users who may ask: who started the page, also through sudo, and the administrator."""
    through = os.environ.get("SUDO_UID", "")
    return {ROOT, os.getuid()} | ({int(through)} if through.isdecimal() else set())


def user_of(client: Place, server: Place) -> int | None:
    """User at the client's end.

    Parameters
    ----------
    client, server
        Address and port of either end.

    Returns
    -------
    int or None
        ``NOBODY`` where the program has gone; None where the system does not tell.
    """
    try:
        rows = TABLES[ipaddress.ip_address(client[0]).version].read_text(encoding="ascii").splitlines()
        wanted = [_as_listed(client), _as_listed(server)]
    except (OSError, ValueError):
        return None
    for row in rows:
        parts = row.split()
        if parts[LOCAL : REMOTE + 1] == wanted:
            return int(parts[USER]) if parts[INODE] != "0" else NOBODY
    return None


def _as_listed(place: Place) -> str:
    """An address and port as the table writes them: words of four bytes in the machine's order."""
    packed = ipaddress.ip_address(place[0]).packed
    words = (int.from_bytes(packed[at : at + 4], sys.byteorder) for at in range(0, len(packed), 4))
    return "".join(f"{word:08X}" for word in words) + f":{place[1]:04X}"
