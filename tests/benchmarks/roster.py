"""Every benchmark by name: what the command runs and what the tests hold."""

from collections.abc import Callable, Iterator, Mapping
from typing import Final, NoReturn

from benchmarks import commands, growth, light, page, prices, searches, sweeps
from benchmarks.figures import Benchmark, Curve, Figure

# sweeps come first: the memory of a process is the most that it has ever held
BENCHMARKS: Final[Mapping[str, Benchmark]] = {
    "sweep": sweeps.different_fields,
    "sweep-prices": sweeps.many_prices,
    "commands": commands.whole_processes,
    "comparison": growth.comparisons,
    "batch": growth.batches,
    "light": light.kernels,
    "optimize": searches.one_tract,
    "property": searches.properties,
    "odds": searches.odds,
    "reprice": prices.repricings,
    "wait": prices.waiting,
    "growth-curves": growth.curves,
    "search-curve": searches.sharing,
}
PAGE: Final = "page"
NAMES: Final = (*BENCHMARKS, PAGE)


def measured(name: str, absent: Callable[[str], NoReturn], *, quick: bool = False) -> Iterator[Figure | Curve]:
    """Run one benchmark; `absent` is told what this machine lacks for it, and the page has no quick look."""
    if name == PAGE:
        yield from page.page(absent)
    else:
        yield from BENCHMARKS[name](quick)
