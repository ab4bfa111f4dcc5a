"""What asks the program to end, and what the machine refuses it, as one line and an exit code."""

import contextlib
import errno
import logging
import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Final

import click

from optimize.whole_files import NO_ROOM

INTERRUPTED: Final = 130
ASKS_TO_END: Final = ("SIGTERM", "SIGHUP")
"""What a system sends before it switches off, and a terminal that is closed; not every system has both."""
_NO_PROCESS: Final = "the system allows no more processes. Ask for fewer --workers"
_REFUSED: Final = {number: f"cannot write: {words}. Make room" for number, words in NO_ROOM.items()} | {
    errno.EIO: "cannot read or write: the disk or the terminal failed. Check it",
    errno.EMFILE: "too many files are open: the system allows this program too few. Raise the limit (ulimit -n)",
    errno.ENFILE: "too many files are open on this machine. Close other programs",
    errno.EAGAIN: _NO_PROCESS,
}
_NO_MEMORY: Final = "not enough memory. Close other programs, or ask for fewer --workers or less at once,"
_SAID_BY_LIBRARIES: Final = (
    (ImportError, "failed to map segment", _NO_MEMORY),  # the loader of libraries
    (RuntimeError, "can't start new thread", _NO_PROCESS),  # a thread counts as a process where they are limited
    (
        OSError,
        "temporary directory",
        "there is no folder for temporary files. Set TMPDIR to one in which you may write",
    ),
    (
        ValueError,
        "Failed to find font",
        "there is no font to draw with. Install Matplotlib anew, which brings its own,",
    ),
)
"""What is known only by its words: kind of error, part of what it says, and what we say."""


@contextmanager
def stopped_like_ctrl_c() -> Iterator[list[int]]:
    """Let the system's requests to end be met as Ctrl-C is: what is done is kept, files stay whole, processes go.

    Yields
    ------
    list of int
        Requests received; Ctrl-C is not among them. A request that the person has asked to ignore stays ignored.
    """
    received: list[int] = []

    def stop(number: int, _frame: FrameType | None) -> None:
        received.append(number)
        raise KeyboardInterrupt

    replaced = []
    if threading.current_thread() is threading.main_thread():
        numbers = [getattr(signal, name) for name in ASKS_TO_END if hasattr(signal, name)]
        replaced = [number for number in numbers if signal.getsignal(number) is signal.SIG_DFL]
    for number in replaced:
        signal.signal(number, stop)
    try:
        yield received
    finally:
        for number in replaced:
            signal.signal(number, signal.SIG_DFL)


def leave_stopped(received: list[int]) -> int:
    """Say that the system ended it, and return the exit code; whoever pressed Ctrl-C knows.

    A second Ctrl-C ends what is still being tidied at once, and without a word.
    """
    with contextlib.suppress(ValueError):  # not in the main thread
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    if not received:
        return INTERRUPTED
    name = signal.Signals(received[0]).name
    tell(f"halfshade: stopped by the system ({name}); the files that are there are whole")
    return 128 + received[0]


def refusal(error: BaseException) -> str | None:
    """What the machine refused, and what to do; None where the fault is ours."""
    if isinstance(error, MemoryError) or getattr(error, "errno", None) == errno.ENOMEM:
        return f"{_NO_MEMORY} and run the command again."
    words = _REFUSED.get(error.errno or 0) if isinstance(error, OSError) else None
    words = words or next((ours for kind, said, ours in _SAID_BY_LIBRARIES if _says(error, kind, said)), None)
    return words and f"{words} and run the command again."


def _says(error: BaseException, kind: type[Exception], said: str) -> bool:
    return isinstance(error, kind) and said in str(error)


def settle_in() -> None:
    """Make odd surroundings ordinary: output or messages closed, a drawing window asked for, letters that are lacking.

    Pictures are drawn into files, so neither a display nor what the environment says of one matters; that Matplotlib
    found no place for its list of fonts is no news to a forester.
    """
    os.environ["MPLBACKEND"] = "agg"
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, PTH123 - lives as long as we
        with contextlib.suppress(AttributeError):  # one that a test put there
            getattr(sys, name).reconfigure(errors="replace")


def tell(line: str) -> None:
    """Write a line on standard error; where nobody can read it the work goes on."""
    try:
        click.echo(line, file=sys.stderr)
    except OSError:
        discard(sys.stderr)


def discard(stream: object) -> None:
    """Send what a stream still holds nowhere, so that the interpreter does not complain about it on leaving."""
    with contextlib.suppress(OSError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())  # type: ignore[attr-defined]
