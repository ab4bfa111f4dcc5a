"""Results can be repeated and cited: editions, inputs and options are kept with them."""

import hashlib
import json
import re
import subprocess
import tomllib
from collections.abc import Callable
from pathlib import Path

from workbench.examples import example_text

Halfshade = Callable[..., "subprocess.CompletedProcess[str]"]
ROOT = Path(__file__).parents[2]


def test_version_as_json_lists_editions_and_hashes(halfshade: Halfshade) -> None:
    document = json.loads(halfshade("--version", "--json").stdout)
    assert document == json.loads(halfshade("--json", "--version").stdout)
    assert re.fullmatch("[0-9a-f]{64}", document["halfshade"]["code_sha256"])
    assert {"python", "numpy", "scipy"} <= set(document["libraries"])
    for name, found in document["numbers_sha256"].items():
        content = (ROOT / name).read_bytes().replace(b"\r\n", b"\n")
        assert found == hashlib.sha256(content).hexdigest(), name
    assert "price_tables/demo-2025.toml" in document["numbers_sha256"]
    assert "simulator/parameters/trees/loblolly.toml" in document["numbers_sha256"]


def test_json_before_a_command_is_a_message(halfshade: Halfshade) -> None:
    done = halfshade("--json", "catalog")
    assert (done.returncode, done.stdout) == (2, "")
    assert "--json stands after the command" in done.stderr


def test_an_output_folder_carries_what_made_it(halfshade: Halfshade, tmp_path: Path) -> None:
    (tmp_path / "field.toml").write_text(example_text(), encoding="utf-8")
    for command in (("run", "field.toml", "--sell-in", "12"), ("run",)):
        done = halfshade(*command, "--out", command[0] + str(len(command)))
        assert done.returncode == 0, done.stderr
    named = json.loads((tmp_path / "run4" / "made-with.json").read_text(encoding="utf-8"))
    assert named["command"] == "halfshade run"
    assert named["options"] == {"sell_in": 12}
    assert named["inputs"]["field.toml"]["text"] == example_text()
    packaged = json.loads((tmp_path / "run1" / "made-with.json").read_text(encoding="utf-8"))
    assert packaged["inputs"]["scenario.toml"]["sha256"] == named["inputs"]["field.toml"]["sha256"]


def test_citation_names_the_version_of_the_project() -> None:
    """The Citation File Format, version 1.2.0: its required keys (from memory)."""
    text = (ROOT / "CITATION.cff").read_text(encoding="utf-8")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    keys = dict(re.findall(r"^([\w-]+): *(.*)$", text, re.MULTILINE))
    assert {"cff-version", "message", "title", "authors"} <= set(keys)
    assert keys["version"] == project["version"]
    assert keys["license"] == project["license"]


def test_a_price_table_of_ones_own_is_kept_too(halfshade: Halfshade, tmp_path: Path) -> None:
    own = (ROOT / "price_tables" / "demo-2025.toml").read_text(encoding="utf-8")
    (tmp_path / "mine.toml").write_text(own, encoding="utf-8")
    text = example_text().replace('price_table = "demo-2025"', 'price_table = "mine.toml"')
    (tmp_path / "field.toml").write_text(text, encoding="utf-8")
    assert halfshade("run", "field.toml", "--out", "out").returncode == 0
    inputs = json.loads((tmp_path / "out" / "made-with.json").read_text(encoding="utf-8"))["inputs"]
    assert list(inputs) == ["field.toml", "mine.toml"]
    assert inputs["mine.toml"]["text"] == own
