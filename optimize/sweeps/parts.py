"""Parts of a sweep's results, each with a digest beside it: what was changed since it was written is never read."""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple

import pyarrow as pa
import pyarrow.parquet as pq

from optimize.whole_files import UNFINISHED, cannot_write, write_atomically
from simulator.errors import InputError, Problem
from simulator.named_files import Kind, bytes_of, is_file, text_of

RESULTS: Final = "results"
DIGESTS: Final = "digests"
_AGAIN: Final = "Delete that file and give the same command 'halfshade sweep' again, which does what is missing."
_PART: Final = Kind(4_000_000_000, _AGAIN, _AGAIN, _AGAIN, _AGAIN)
_DIGEST: Final = _PART._replace(most_bytes=100)


class Parts(NamedTuple):
    """The parts of one sweep.

    Attributes
    ----------
    folder
        Of the sweep.
    tasks
        How many parts there are when all is done.
    manifest
        What was asked, which every digest covers too: a part of another sweep is none of this one.
    """

    folder: Path
    tasks: int
    manifest: Mapping[str, Any]

    def path(self, number: int) -> Path:
        """File of a task's results."""
        return self.folder / RESULTS / f"part-{number:06d}.parquet"

    def there(self) -> list[int]:
        """Parts that are there.

        Raises
        ------
        InputError
            Where a file is called like a part and is none.
        """
        known = {self.path(number): number for number in range(self.tasks)}
        found = sorted((self.folder / RESULTS).glob("part-*.parquet"))
        strange = [path for path in found if path not in known]
        if strange:
            raise InputError([Problem("", "is no part of this sweep", "", "Delete it.", str(strange[0]))])
        return [known[path] for path in found]

    def open(self) -> None:
        """Make the folders, and clear what a killed sweep has left unfinished.

        Raises
        ------
        InputError
            Where that cannot be done.
        """
        folders = (self.folder, self.folder / RESULTS, self.folder / DIGESTS)
        try:
            for folder in folders:
                folder.mkdir(parents=True, exist_ok=True)
            for unfinished in (file for folder in folders for file in folder.glob(UNFINISHED)):
                unfinished.unlink()
        except OSError as error:
            raise cannot_write(self.folder, error, "--out") from error

    def write(self, number: int, content: bytes) -> None:
        """Write the results of a task, whole or not at all; the digest first, so that no part is without.

        Raises
        ------
        InputError
            Where it cannot be written; what was written before stays.
        """
        write_atomically(self._digest_path(number), f"{self._digest(number, content)}\n")
        write_atomically(self.path(number), content)

    def whole(self, number: int) -> bytes:
        """Content of a part as the sweep has written it.

        Raises
        ------
        InputError
            Where it was changed since, or cannot be read.
        """
        path, digest = self.path(number), self._digest_path(number)
        content = bytes_of(path, _PART)
        if not is_file(digest) or text_of(digest, _DIGEST).strip() != self._digest(number, content):
            rule = f"is not as the sweep of {self.folder.resolve().name}/manifest.json has written it"
            raise InputError([Problem("", rule, "", _AGAIN, str(path))])
        return content

    def tables(self, columns: Sequence[str] | None) -> Iterator[pa.Table]:
        """Results of every part that is there, some of their columns or all.

        Raises
        ------
        InputError
            Where a part was changed since it was written, or is none of this sweep.
        """
        for number in self.there():
            yield pq.read_table(pa.BufferReader(self.whole(number)), columns=columns)

    def _digest_path(self, number: int) -> Path:
        return self.folder / DIGESTS / f"part-{number:06d}.sha256"

    def _digest(self, number: int, content: bytes) -> str:
        asked = json.dumps([number, self.manifest], sort_keys=True).encode()
        return hashlib.sha256(hashlib.sha256(asked).digest() + content).hexdigest()
