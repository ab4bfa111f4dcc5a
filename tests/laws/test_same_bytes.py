"""The same question has one answer, byte for byte, whoever else is at work and however many.

All commands in all settings: ``python -P tests/versions/compare_environments.py``; other libraries:
``tests/versions/compare_versions.py``.
"""

import json
import math
from pathlib import Path

import pytest

import workbench
from versions.compare_environments import Setting, answer
from versions.nearness import apart

WORDS = ("sweep", "sensitivity", "stem", "mark")


def test_workers_threads_and_hash_seeds_change_no_byte() -> None:
    """A sweep and what is worked up from it: three workers meet three tasks of five scenarios at most."""
    packages = Path(workbench.__file__).parents[1]
    alone = answer(Setting(1, 1, "0"), WORDS, packages)
    assert answer(Setting(3, 4, "1"), WORDS, packages) == alone
    assert {word.split()[0] for word in json.loads(alone)} >= {"sweep", "sweep's", "sensitivity", "stem", "mark"}


def test_what_is_apart_is_found() -> None:
    """The measure of the long comparisons itself: keys, lengths, words, numbers and what is as good as nothing."""
    one = {"a": [1.0, 2.0], "b": "x", "c": 1e-14, "d": 3, "e": None}
    other = {"a": [1.0, 2.0 + 2e-9], "b": "y", "c": 0.0, "d": 3.0, "e": 4.0}
    found = {place.place: place.relative for place in apart(one, other)}
    assert found[".a[1]"] == pytest.approx(1e-9, rel=1e-3)
    assert found[".c"] == 0.0
    assert found[".b"] == found[".e"] == math.inf
    assert ".d" not in found
    assert [place.relative for place in apart({"a": 1}, {"b": 1})] == [math.inf]
    assert [place.relative for place in apart([1], [1, 2])] == [math.inf]
