"""What every command promises about bad input, held against one call of the command's entry in this process.

Exit 0 or 2; no traceback; a refusal within two seconds that says what is wrong and where, prints no result and writes
nothing; an accepted document without NaN or infinity, and no file half-written.
"""

import importlib
import re
import shutil
import signal
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from random import Random
from types import FrameType
from typing import Final, NamedTuple, NoReturn
from unittest import mock

from click.testing import CliRunner

from damage import Damaged, Fault, damaged
from no_numbers import in_text, no_numbers, not_finite, strict_json
from seeds import BESIDE, SEEDS, Seed
from workbench import output

main = importlib.import_module("workbench.main").main  # the module has the name of its command

REFUSAL_S: Final = 2.0
HANGS_S: Final = 300.0
"""Not even the dearest command here works so long on a busy machine: what does has stopped answering."""
OUT: Final = "o"
"""The folder that commands are told to write into."""
INNARDS: Final = re.compile(
    r"Traceback|fault of ours|Input should|object at 0x|<class|NoneType|pydantic|Errno|KeyError|TypeError|ValueError|"
    r"numpy|ndarray|ufunc|\bNone\b|\bdict\b"
)
"""Words that no message to a person holds."""
MAY_BE_UNKNOWN: Final = re.compile(r"^(\.|.*: )(standard_error_percent\.|estimates\.|height_curves\..*rmse_ft$)")
"""What a cruise of one plot cannot know is not a number, and null in the document."""


class Answer(NamedTuple):
    """What one call of a command came to."""

    code: object
    stdout: str
    stderr: str
    seconds: float
    unknown: tuple[str, ...]
    written: tuple[str, ...]


def ask(arguments: Sequence[str]) -> Answer:
    """Call a command in the present folder, as its process would."""
    before = _files()
    unknown: list[str] = []
    started = time.process_time()
    with ExitStack() as stack:
        stack.enter_context(_waking(HANGS_S))
        stack.enter_context(mock.patch.object(output, "plain", _noting(unknown)))
        stack.enter_context(mock.patch.dict("os.environ", {"HALFSHADE_TRACEBACK": "1"}))
        done = CliRunner().invoke(main, list(arguments))
    spent = time.process_time() - started
    written = tuple(sorted(_files() - before))
    if done.exit_code == 0:
        unknown += no_numbers(Path(OUT))
    return Answer(done.exit_code, done.stdout, done.stderr, spent, tuple(unknown), written)


def broken(arguments: Sequence[str], answer: Answer, name: str, fault: Fault | None) -> list[str]:
    """The promises that an answer breaks, in words; none where all are kept."""
    found = [f"says {match[0]!r}" for match in [INNARDS.search(answer.stderr)] if match]
    if answer.code not in {0, 2}:
        found.append(f"exit code {answer.code}")
    if fault is not None and answer.code == 0:
        found.append(f"accepts what is wrong on line {fault.line}")
    found += _of_refusal(arguments, answer, name, fault) if answer.code == 2 else _of_acceptance(arguments, answer)
    return found


def _of_refusal(arguments: Sequence[str], answer: Answer, name: str, fault: Fault | None) -> Iterator[str]:
    lines = answer.stderr.splitlines()
    problems = [line for line in lines if not line.startswith("halfshade: note: ")]
    if answer.seconds > REFUSAL_S:
        yield f"refuses after {answer.seconds:.1f} s"
    if not problems:
        yield "refuses without a word"
    if any(not line.startswith("halfshade: ") for line in lines):
        yield "a message that does not begin as messages do"
    if any(line.startswith("halfshade: note: wrote") for line in lines) or answer.written:
        yield f"wrote {', '.join(answer.written)} and refused"
    if answer.stdout and "check" not in arguments:
        yield "prints on standard output and refuses"
    if not any(name in line for line in problems):
        yield f"never names {name}"
    if any(not re.search(r"[.?!)]$", line) for line in problems):
        yield "a message that is no sentence"
    if fault is not None and not any(_tells(line, name, fault) for line in problems):
        yield f"does not name {fault.key} on line {fault.line}"


def _tells(message: str, name: str, fault: Fault) -> bool:
    """Whether a message names file, line and field of a fault."""
    place, _, rest = message.removeprefix("halfshade: ").partition(" ")
    field = rest.partition(": ")[0]
    return place == f"{name}:{fault.line}:" and fault.key in re.split(r"[.\[\]]", field)


def _of_acceptance(arguments: Sequence[str], answer: Answer) -> Iterator[str]:
    wrong = [place for place in answer.unknown if not MAY_BE_UNKNOWN.search(place)]
    if wrong:
        yield f"not a number: {', '.join(wrong[:5])}"
    if "--json" in arguments and answer.code == 0:
        try:
            strict_json(answer.stdout)
        except ValueError as error:
            yield f"prints no JSON: {error}"
    yield from (f"prints {words}" for words in in_text(answer.stdout))


def _noting(unknown: list[str]) -> Callable[[object], object]:
    """Before a document is made plain, which turns what is no number into null: note where it does."""
    plain, inside = output.plain, [False]

    def noting(document: object) -> object:
        if inside[0]:
            return plain(document)
        unknown.extend(not_finite(document, ""))
        inside[0] = True
        try:
            return plain(document)
        finally:
            inside[0] = False

    return noting


def _files() -> set[str]:
    here = Path(OUT)
    return {str(path) for path in here.rglob("*")} if here.is_dir() else set()


@contextmanager
def _waking(seconds: float) -> Iterator[None]:
    """End what has stopped answering; the command reports it as a fault of its own."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def wake(_: int, __: FrameType | None) -> NoReturn:
        raise TimeoutError(f"no answer in {seconds:g} s")

    before = signal.signal(signal.SIGALRM, wake)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)


class Trial(NamedTuple):
    """One damaged file, one command, and the promises broken."""

    seed: str
    arguments: tuple[str, ...]
    made: Damaged
    answer: Answer
    broken: list[str]

    def told(self) -> str:
        """What went wrong, so that it can be found again."""
        head = f"{self.seed}: halfshade {' '.join(self.arguments)}: {self.made.way}"
        return f"{head}\n  " + "\n  ".join(self.broken) + f"\n{self.answer.stderr[-1500:]}"


def lay_out(folder: Path) -> None:
    """Write the sound files that damaged ones name."""
    for name, text in BESIDE.items():
        (folder / name).write_text(text, encoding="utf-8")


def tried(kind: str, chance: Random, *, mildly: bool = False) -> Trial:
    """Damage a file of one kind, in the present folder, and hold a command to its promises."""
    seed = SEEDS[kind]
    # the cheapest command takes most: the dear ones are for what it accepts
    arguments = seed.commands[0] if len(seed.commands) == 1 or chance.random() < 0.97 else chance.choice(seed.commands)
    return held(kind, seed, arguments, damaged(seed, chance, mildly=mildly))


def held(kind: str, seed: Seed, arguments: tuple[str, ...], made: Damaged) -> Trial:
    """Hold one command to its promises about one damaged file."""
    shutil.rmtree(OUT, ignore_errors=True)
    Path(seed.name).write_bytes(made.content)
    answer = ask(arguments)
    fault = made.fault if seed.told_in else None
    return Trial(kind, arguments, made, answer, broken(arguments, answer, seed.name, fault))
