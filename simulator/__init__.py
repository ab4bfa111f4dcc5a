"""The stand, the light, the pasture, the herd, the wood, the ledger and the finance of one piece of land."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from simulator.comparison import compare
    from simulator.many import run_many
    from simulator.result import run, run_batch
    from simulator.scenario.changing import change
    from simulator.scenario.file import load

__all__ = ["change", "compare", "load", "run", "run_batch", "run_many"]
_PLACES = {
    "change": "scenario.changing",
    "compare": "comparison",
    "load": "scenario.file",
    "run": "result",
    "run_batch": "result",
    "run_many": "many",
}


def __getattr__(name: str) -> Any:  # noqa: ANN401 - a function, imported when first asked for
    if name not in _PLACES:
        raise AttributeError(f"module 'simulator' has no attribute {name!r}")
    return getattr(import_module(f"simulator.{_PLACES[name]}"), name)
