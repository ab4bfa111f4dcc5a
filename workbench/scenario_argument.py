"""The FILE argument that commands share: a scenario file, or the packaged example when none is named."""

from pathlib import Path
from typing import TYPE_CHECKING

from workbench.output import print_note

if TYPE_CHECKING:
    from simulator.scenario.model import Scenario


def read_scenario(file: Path | None, *, stand: bool = False) -> tuple["Scenario", Path | None]:
    """Read the scenario that a command works on.

    Parameters
    ----------
    file
        What the person named, or nothing.
    stand
        Whether the packaged example has trees that stand already.

    Returns
    -------
    tuple
        The scenario, and the folder its price table is relative to.
    """
    from simulator.scenario.file import load, load_text  # noqa: PLC0415 - pydantic is slow to import

    if file is not None:
        scenario = load(file)
        from simulator.alternatives import check_overrides  # noqa: PLC0415

        check_overrides(scenario, file)
        return scenario, file.parent
    from workbench.examples import EXAMPLE_NAME, STAND_EXAMPLE_NAME, example_text, stand_example_text  # noqa: PLC0415

    name, text = (STAND_EXAMPLE_NAME, stand_example_text()) if stand else (EXAMPLE_NAME, example_text())
    route = " --route stand" if stand else ""
    print_note(f"no FILE named: this is the {name}; `halfshade init{route} --out my-field.toml` starts your own")
    return load_text(text, name), None
