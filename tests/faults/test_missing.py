"""What is not installed, and what a bare machine lacks; promises of docs/reliability.md."""

from pathlib import Path

import pytest

from hardship import contents, done, said
from reliability import keeps
from sweeping import ALLEY, factors_text, written

OUTLINE = Path(__file__).parents[2] / "examples" / "north-field.geojson"
WITHOUT = """
import importlib.abc, sys
class Absent(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {names!r}:
            raise ModuleNotFoundError(f"No module named {{name!r}}", name=name)
sys.meta_path.insert(0, Absent())
"""
NO_FONTS = """
import matplotlib.font_manager
matplotlib.font_manager.fontManager.ttflist = []
"""


@keeps("Extras that are not installed")
def test_without_dask_a_scheduler_names_what_to_install_and_no_folder_is_begun(tmp_path: Path) -> None:
    drawn = factors_text(ALLEY, design="latin hypercube", more="samples = 3\nseed = 4\n")
    field, factors = written(tmp_path, drawn)
    asked = ("sweep", field, factors, "--out", "out", "--scheduler", "tcp://127.0.0.1:1")
    ended = done(tmp_path, *asked, before=WITHOUT.format(names={"dask", "distributed"}))
    assert ended.returncode == 2, said(ended)
    assert "--scheduler needs Dask, which is not installed: python -m pip install 'halfshade[cluster]'" in said(ended)


@keeps("No display, no home folder, no list of fonts")
def test_without_any_font_the_message_says_so(tmp_path: Path) -> None:
    ended = done(tmp_path, "layout", "--field", OUTLINE, "--out", "out", before=NO_FONTS)
    assert ended.returncode == 2, said(ended)
    assert "there is no font to draw with. Install Matplotlib anew" in said(ended)
    assert all(content for content in contents(tmp_path / "out").values())


@keeps("No display, no home folder, no list of fonts")
@pytest.mark.parametrize("place", ["absent", "a file", "broken"])
def test_where_the_list_of_fonts_cannot_be_kept_pictures_are_drawn(place: str, tmp_path: Path) -> None:
    """The place that Matplotlib is told: it is not there and cannot be made, is a file, holds a list that is broken."""
    told = tmp_path / "told"
    if place == "absent":
        told = Path("/proc/nowhere")
    elif place == "a file":
        told.touch()
    else:
        told.mkdir()
        (told / "fontlist-v390.json").write_text("{broken", encoding="utf-8")
    ended = done(tmp_path, "layout", "--field", OUTLINE, "--out", "out", environment={"MPLCONFIGDIR": str(told)})
    assert ended.returncode == 0, said(ended)
    assert str(told) not in said(ended)
    assert (tmp_path / "out" / "map.png").read_bytes().startswith(b"\x89PNG")
