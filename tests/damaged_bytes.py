"""Ways to damage a file without knowing what is in it."""

from collections.abc import Callable
from random import Random
from typing import Final


def truncated(content: bytes, chance: Random) -> bytes:
    return content[: chance.randrange(len(content) + 1)]


def bits_flipped(content: bytes, chance: Random) -> bytes:
    changed = bytearray(content)
    for _ in range(chance.choice([1, 1, 2, 8]) if changed else 0):
        changed[chance.randrange(len(changed))] ^= 1 << chance.randrange(8)
    return bytes(changed)


INSERTED: Final = (
    b"\0", b"\xff", b"\xc3\x28", b"\xed\xa0\x80", b"\xef\xbb\xbf", b"\r", b"\r\n", b"\n", b"\x1b[2J", b"\x0c", b"\x85",
    b"[", b"]", b"{", b"}", b'"', b"'", b'"""', b"#", b"=", b",", b".", b"\\", b"\xe2\x80\xa8", b"[" * 5000,
    b"{" * 5000, b"9" * 5000, b"a" * 70_000, b",\n" * 1000, b"-", b"e", b"\t", b"\xf0\x9f\x8c\xb2", b"null", b"/*",
)  # fmt: skip


def inserted(content: bytes, chance: Random) -> bytes:
    at = chance.randrange(len(content) + 1)
    return content[:at] + chance.choice(INSERTED) + content[at + chance.choice([0, 0, 1, 5]) :]


def cut_out(content: bytes, chance: Random) -> bytes:
    at = chance.randrange(len(content) + 1)
    return content[:at] + content[at + chance.choice([1, 2, 10, 200]) :]


def spliced(content: bytes, chance: Random) -> bytes:
    at, other = chance.randrange(len(content) + 1), chance.randrange(len(content) + 1)
    return content[:at] + content[other : other + chance.choice([5, 50, 500])] + content[at:]


def encoded_otherwise(content: bytes, chance: Random) -> bytes:
    text = content.decode("utf-8", "replace")
    code = chance.choice(["utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "utf-32", "cp037", "utf-7"])
    return text.encode(code, "replace")


def line_ends(content: bytes, chance: Random) -> bytes:
    return content.replace(b"\n", chance.choice([b"\r\n", b"\r", b"\n\r", b"\x85", b"\n\n", b" "]))


ByteWay = Callable[[bytes, Random], bytes]
BYTE_WAYS: Final[tuple[ByteWay, ...]] = (
    truncated, bits_flipped, inserted, cut_out, spliced, encoded_otherwise, line_ends,
)  # fmt: skip
