"""Values of factors against the distributions of scipy.stats, and designs against what they promise."""

import numpy as np
import pytest
from scipy import stats

from optimize.sweeps.designs import codes_of, shares_of
from optimize.sweeps.distributions import FAR_OUT, quantile_of
from optimize.sweeps.factors import Sampled, Varied
from optimize.sweeps.model import Factor

SHARES = np.linspace(0.001, 0.999, 41)


def _factor(**said: object) -> Factor:
    return Factor.model_validate({"field": "land.site_index_ft", **said})


def _open(share: np.ndarray) -> np.ndarray:
    return FAR_OUT + (1.0 - 2.0 * FAR_OUT) * share


@pytest.mark.parametrize(
    ("factor", "expected"),
    [
        (_factor(low=2.0, high=5.0), stats.uniform(2.0, 3.0).ppf(SHARES)),
        (
            _factor(low=2.0, high=6.0, most_likely=3.0, distribution="triangular"),
            stats.triang(0.25, 2.0, 4.0).ppf(SHARES),
        ),
        (_factor(low=2.0, high=200.0, distribution="log-uniform"), stats.loguniform(2.0, 200.0).ppf(SHARES)),
        (_factor(mean=5.0, standard_deviation=2.0, distribution="normal"), stats.norm(5.0, 2.0).ppf(_open(SHARES))),
        (
            _factor(mean=5.0, standard_deviation=2.0, low=4.0, high=9.0, distribution="normal"),
            stats.truncnorm(-0.5, 2.0, 5.0, 2.0).ppf(SHARES),
        ),
        (
            _factor(median=5.0, spread=1.5, distribution="log-normal"),
            stats.lognorm(np.log(1.5), scale=5.0).ppf(_open(SHARES)),
        ),
    ],
)
def test_quantiles_are_those_of_scipy(factor: Factor, expected: np.ndarray) -> None:
    assert quantile_of(factor)(SHARES) == pytest.approx(expected)


def test_no_distribution_gives_infinite_values_at_its_ends() -> None:
    for factor in (
        _factor(mean=5.0, standard_deviation=2.0, distribution="normal"),
        _factor(median=5.0, spread=1.5, distribution="log-normal"),
        _factor(low=2.0, high=2.5, most_likely=2.0, distribution="triangular"),
    ):
        assert np.isfinite(quantile_of(factor)(np.array([0.0, 1.0]))).all()


def _sampled(*values: float) -> Sampled:
    return Sampled(Varied("a", "field", "a", "", values, (), values[0]), None, 3, (0.0, 1.0))


def test_a_hypercube_has_one_sample_in_each_row_of_each_factor() -> None:
    shares = shares_of("latin hypercube", 4, 50, 1)
    assert (np.sort(np.floor(50 * shares), axis=0) == np.arange(50)[:, None]).all()


def test_a_sobol_sequence_fills_every_quarter_alike() -> None:
    shares = shares_of("sobol sequence", 2, 64, 1)
    quarter = 2 * (shares[:, 0] > 0.5) + (shares[:, 1] > 0.5)
    assert np.bincount(quarter).tolist() == [16, 16, 16, 16]


def test_a_grid_is_every_combination_once() -> None:
    codes = codes_of("grid", [_sampled(1.0, 2.0), _sampled(3.0, 4.0, 5.0)], None, 1)
    assert sorted(map(tuple, codes.tolist())) == [(a, b) for a in (0.0, 1.0) for b in (0.0, 1.0, 2.0)]


def test_one_at_a_time_begins_with_the_scenario_as_it_is() -> None:
    codes = codes_of("one at a time", [_sampled(1.0, 2.0), _sampled(3.0, 4.0)], None, 1)
    assert np.isnan(codes[0]).all()
    assert (np.isfinite(codes[1:]).sum(axis=1) == 1).all()


def test_the_same_seed_draws_the_same() -> None:
    for design in ("latin hypercube", "sobol sequence", "morris", "sobol indices"):
        assert (shares_of(design, 3, 8, 5) == shares_of(design, 3, 8, 5)).all()
        assert (shares_of(design, 3, 8, 5) != shares_of(design, 3, 8, 6)).any()
