"""Walk-throughs: their commands run in order, and the excerpts they print are lines of what really came out.

In a page, a comment before a block says what the block is: ``<!-- file: NAME -->`` that its text is written to a file
of that name first, ``<!-- shown: N from "WORDS" -->`` that it holds N lines of the last command's output, from the
first line that contains the words.
"""

import re
import shlex
import shutil
from pathlib import Path

from book.commands import run

ROOT = Path(__file__).parents[2]
PAGES = tuple(f"walkthrough-{who}.md" for who in ("landowner", "consultant", "student"))
STEP = re.compile(
    r"(?:<!-- (?:file: (?P<file>\S+)|shown: (?P<lines>\d+) from \"(?P<words>[^\"]+)\") -->\n)?"
    r"^```(?P<language>sh|python|text|csv|toml)\n(?P<body>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)


def refreshed(text: str, folder: Path) -> str:
    """Run a page and return it with the excerpts of today.

    Parameters
    ----------
    text
        The page.
    folder
        Empty folder to work in; the examples are copied into it.

    Raises
    ------
    RuntimeError
        If a command fails or its output lacks the words that an excerpt begins with.
    """
    shutil.copytree(ROOT / "examples", folder / "examples")
    said = ""

    def step(found: re.Match[str]) -> str:
        nonlocal said
        body = found["body"]
        if found["language"] == "sh":
            typed = [shlex.split(line)[1:] for line in body.splitlines()]
            said = "".join(_said("-m", "workbench", *words, folder=folder) for words in typed)
        elif found["language"] == "python":
            said = _said("-c", body, folder=folder)
        elif found["file"]:
            (folder / found["file"]).write_text(body, encoding="utf-8")
        elif found["words"]:
            before = found[0][: found.start("body") - found.start()]
            return f"{before}{_excerpt(said, found['words'], int(found['lines']))}```"
        return found[0]

    return STEP.sub(step, text)


def _said(*arguments: str, folder: Path) -> str:
    done = run(*arguments, folder=folder)
    if done.returncode != 0:
        raise RuntimeError(f"{shlex.join(arguments)}\n{done.stderr}")
    return done.stdout


def _excerpt(said: str, words: str, lines: int) -> str:
    printed = [line.rstrip() for line in said.splitlines()]
    first = next((number for number, line in enumerate(printed) if words in line), None)
    if first is None:
        raise RuntimeError(f"nothing printed contains {words!r}")
    return "\n".join(printed[first : first + lines]) + "\n"
