"""What Halfshade reads at all: text only, so that there is nothing to unpack and nothing to run."""

import ast
from importlib import resources
from pathlib import Path
from typing import Final

PACKAGES: Final = ("workbench", "optimize", "simulator", "price_tables")
READS_OR_RUNS: Final = {
    "bz2", "defusedxml", "dill", "expat", "fiona", "gzip", "h5py", "html.parser", "imaplib", "joblib", "lxml", "lzma",
    "marshal", "msgpack", "openpyxl", "pickle", "plistlib", "pyexpat", "rasterio", "shelve", "sqlite3", "tarfile",
    "xlrd", "xml.dom", "xml.parsers", "xml.sax", "yaml", "zlib",
}  # fmt: skip
"""Parsers of packed, executable or entity-expanding formats: none of them is imported."""
CALLS_THAT_READ: Final = {
    "ET": {"fromstring", "parse", "iterparse", "XML", "XMLParser", "XMLPullParser"},
    "zipfile": {"is_zipfile", "Path"},
    "np": {"load", "fromfile", "memmap", "genfromtxt", "loadtxt"},
    "pd": {"read_pickle", "read_excel", "read_xml", "read_html", "read_hdf", "read_feather", "read_orc", "read_sas"},
    "shutil": {"unpack_archive"},
}
RUNS: Final = {"eval", "exec", "compile", "__import__"}


def _sources() -> list[tuple[Path, ast.Module]]:
    files = [file for name in PACKAGES for file in Path(str(resources.files(name))).rglob("*.py")]
    assert len(files) > 200
    return [(file, ast.parse(file.read_text(encoding="utf-8"))) for file in files]


def _imported(tree: ast.Module) -> set[str]:
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def test_no_parser_of_a_packed_or_running_format_is_imported() -> None:
    """TOML, JSON, CSV and plain numbers are all that is read; a zip or XML bomb has nothing to go off in."""
    for file, tree in _sources():
        for name in _imported(tree):
            assert not any(name == each or name.startswith(f"{each}.") for each in READS_OR_RUNS), f"{file}: {name}"


def test_xml_and_zip_are_only_written() -> None:
    writers = set()
    for file, tree in _sources():
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call):
                continue
            if isinstance(node.func, ast.Name):
                assert node.func.id not in RUNS, f"{file}:{node.lineno}"
            if not isinstance(node.func, ast.Attribute) or not isinstance(node.func.value, ast.Name):
                continue
            library, called = node.func.value.id, node.func.attr
            assert called not in CALLS_THAT_READ.get(library, ()), f"{file}:{node.lineno}: {library}.{called}"
            if (library, called) == ("zipfile", "ZipFile"):
                assert isinstance(node.args[1], ast.Constant)
                assert node.args[1].value == "w", f"{file}:{node.lineno}"
                writers.add(file.name)
    assert writers == {"downloads.py"}


def test_the_scan_sees_what_it_looks_for() -> None:
    tree = ast.parse("import xml.sax\nfrom lxml import etree\nfrom xml.etree import ElementTree as ET\nET.parse(x)\n")
    assert {"xml.sax", "lxml", "xml.etree.ElementTree"} <= _imported(tree)
