"""Workbooks without their stored values, changed in cells by name, and computed anew by LibreOffice."""

import io
import re
import shutil
import subprocess
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NoReturn

import openpyxl
from openpyxl import Workbook

STORED = re.compile(r"(<c [^>]*?)( t=\"\w+\")?(><f>[^<]*</f>)<v>[^<]*</v>")


def without_values(content: bytes, inputs: Mapping[str, float] | None = None) -> bytes:
    """The same workbook with no value beside any formula, and other numbers in the cells of some names."""
    places = {name: place_of(content, name) for name in inputs or {}}
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.namelist():
            text = old.read(entry)
            if entry.startswith("xl/worksheets/sheet"):
                page = STORED.sub(r"\1\3", text.decode())
                for name, value in (inputs or {}).items():
                    if places[name][0] == entry:
                        page = put(page, places[name][1], value)
                text = page.encode()
            new.writestr(entry, text)
    return made.getvalue()


def put(page: str, cell: str, value: float) -> str:
    changed, count = re.subn(rf'(<c r="{cell}"[^>]*><v>)[^<]*(</v>)', rf"\g<1>{value!r}\g<2>", page)
    assert count == 1, cell
    return changed


def place_of(content: bytes, name: str) -> tuple[str, str]:
    """File of the sheet inside the workbook, and address, of the cell of a name."""
    with zipfile.ZipFile(io.BytesIO(content)) as book:
        text = book.read("xl/workbook.xml").decode()
    found = re.search(rf'<definedName name="{name}">([^<]*)!\$([A-Z]+)\$(\d+)<', text)
    assert found is not None, name
    sheets = re.findall(r'<sheet name="([^"]*)"', text)
    return f"xl/worksheets/sheet{sheets.index(found[1].strip(chr(39))) + 1}.xml", f"{found[2]}{found[3]}"


def opened(path: Path) -> Workbook:
    """A workbook of which only those sheets are read that somebody asks for."""
    return openpyxl.load_workbook(path, read_only=True, data_only=True)


def computed(files: Mapping[str, bytes], folder: Path, absent: Callable[[str], NoReturn]) -> dict[str, Workbook]:
    """Values of each workbook as LibreOffice computes them, all in one run of it."""
    program = shutil.which("soffice")
    if program is None:
        absent("LibreOffice is not installed")
    for name, content in files.items():
        (folder / f"{name}.xlsx").write_bytes(content)
    profile = (folder / "profile").as_uri()
    command = [program, f"-env:UserInstallation={profile}", "--headless", "--convert-to", "xlsx", "--outdir"]
    paths = [str(folder / f"{name}.xlsx") for name in files]
    done = subprocess.run(
        [*command, str(folder / "computed"), *paths], capture_output=True, encoding="utf-8", timeout=240, check=False
    )
    assert done.returncode == 0, done.stderr
    return {name: opened(folder / "computed" / f"{name}.xlsx") for name in files}
