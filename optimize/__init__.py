"""Searches over plans: what thinning, rotation and use make the land worth most."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from optimize.best import best_plan
    from optimize.objective import Objective
    from optimize.sensitivity.study import study
    from optimize.sweeps.run import open_sweep, sweep

__all__ = ["Objective", "best_plan", "open_sweep", "study", "sweep"]
_PLACES = {
    "Objective": "objective",
    "best_plan": "best",
    "open_sweep": "sweeps.run",
    "study": "sensitivity.study",
    "sweep": "sweeps.run",
}


def __getattr__(name: str) -> Any:  # noqa: ANN401 - a class or a function, imported when first asked for
    if name not in _PLACES:
        raise AttributeError(f"module 'optimize' has no attribute {name!r}")
    return getattr(import_module(f"optimize.{_PLACES[name]}"), name)
