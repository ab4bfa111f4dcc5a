"""The FILE argument that commands share: a scenario file, or the packaged example when none is named."""

from pathlib import Path
from typing import TYPE_CHECKING

from workbench.output import print_note

if TYPE_CHECKING:
    from simulator.scenario.model import Scenario


def read_scenario(file: Path | None) -> tuple["Scenario", Path | None]:
    """Read the scenario that a command works on.

    Parameters
    ----------
    file
        What the person named, or nothing.

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
    from workbench.examples import EXAMPLE_NAME, example_text  # noqa: PLC0415

    print_note(f"no FILE named: this is the {EXAMPLE_NAME}; `halfshade init --out my-field.toml` starts your own")
    return load_text(example_text(), EXAMPLE_NAME), None
