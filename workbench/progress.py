"""A bar with the time left, on standard error, while something long is done."""

from collections.abc import Callable
from typing import Protocol, TypeVar

Found = TypeVar("Found")


class Tell(Protocol):
    """Moves the bar: how many are done and how many there are; other words in front of it where some are given."""

    def __call__(self, done: int, of: int, words: str = "") -> None:
        """Move the bar."""


def with_progress(words: str, work: Callable[[Tell], Found]) -> Found:
    """Do something under a bar.

    Parameters
    ----------
    words
        What is counted.
    work
        Given a function to call with how many are done and how many there are.
    """
    from rich.console import Console  # noqa: PLC0415 - rich costs more than the whole of --help
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn  # noqa: PLC0415

    columns = TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn()
    console = Console(stderr=True)
    # where nobody watches, a bar would leave an empty line among the messages
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task(words, total=None)

        def tell(done: int, of: int, words: str = words) -> None:
            bar.update(task, completed=done, total=of, description=words)

        return work(tell)
