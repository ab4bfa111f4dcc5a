"""Numbers of how often hazards strike."""

from functools import cache
from pathlib import Path

from simulator.physics.hazards import Chances
from simulator.sourced import coefficients, read_sourced


@cache
def load_chances() -> Chances:
    """Read the chances of hazards.

    Returns
    -------
    Chances

    Raises
    ------
    ParameterError
        If the file breaks its schema.
    """
    return coefficients(read_sourced(Path(__file__).parent / "chances.toml"), "chances", Chances)
