"""Charts of comparisons drawn by a second process, while this one computes what else is said."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from typing import TYPE_CHECKING

from optimize.processes import cores, hand_out, pool_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from simulator.comparison import Comparison

    Chart = Callable[[Comparison], Figure]


class Painter:
    """Draws charts of comparisons as SVG, beside this process where it has been given one to draw in.

    Parameters
    ----------
    pool
        One process; None where everything is drawn here.
    """

    def __init__(self, pool: ProcessPoolExecutor | None = None) -> None:
        self._pool = pool

    def begin(self, charts: "Sequence[Chart]", comparison: "Comparison") -> "Callable[[Chart], bytes]":
        """Begin to draw.

        Parameters
        ----------
        charts
            Functions of modules, so that the other process finds them.
        comparison
            What they show.

        Returns
        -------
        Callable
            From one of the charts to its SVG, the same bytes whoever drew it. It waits; where the other process is
            gone, it draws.
        """
        drawn: dict[Chart, Future[bytes]] = {}
        if self._pool is not None:
            try:
                drawn = {chart: hand_out(self._pool, _svg, chart, comparison) for chart in charts}
            except (OSError, BrokenExecutor):
                self._pool = None

        def svg(chart: "Chart") -> bytes:
            if chart in drawn:
                try:
                    return drawn[chart].result()
                except BrokenExecutor:
                    self._pool = None
            return _svg(chart, comparison)

        return svg


@contextmanager
def painter_beside() -> Iterator[Painter]:
    """A painter with a process of its own where this machine has a second processor; it is gone afterwards."""
    if cores() < 2:
        yield Painter()
        return
    with pool_of(1) as pool:
        try:
            hand_out(pool, _prepare)  # it imports while this process does
            painter = Painter(pool)
        except (OSError, BrokenExecutor):  # the system gives no second process
            painter = Painter()
        yield painter


def _prepare() -> None:
    import workbench.charts  # noqa: F401, PLC0415


def _svg(chart: "Chart", comparison: "Comparison") -> bytes:
    from workbench.charts.files import image  # noqa: PLC0415 - matplotlib is slow to import

    return image(chart(comparison), "svg")
