"""The plan of a property as one JSON document."""

import math
from typing import Any

from optimize.property.conflicts import Miss, Way
from optimize.property.file import Property
from optimize.property.whole import Planned
from workbench.property_words import CAUTIONS, miss_words, verdict, way_words


def property_document(wanted: Property, planned: Planned) -> dict[str, Any]:
    """Lay a plan out as JSON.

    Parameters
    ----------
    wanted
        The property file.
    planned
        Its plan; what is shown is run exactly.

    Returns
    -------
    dict
        Amounts are of whole tracts in real dollars; keys are only ever added.
    """
    plan, shown = planned.plan, planned.shown
    return {
        "title": wanted.file.title,
        "maximise": "npv" if wanted.over_the_horizon else wanted.file.maximise,
        "discount_rate": wanted.rate,
        "horizon_years": wanted.horizon,
        "couplings": wanted.file.couplings.model_dump(exclude_none=True),
        "ending": plan.ending,
        "interrupted": plan.interrupted,
        "verdict": verdict(planned),
        "value": shown.value if shown.tracts else None,
        "searched": {
            "value": plan.value if plan.tracts else None,
            "bound": plan.bound if math.isfinite(plan.bound) else None,  # nothing is proven where there is no plan
            "proven_gap": plan.gap if plan.tracts else None,
            "pathways_considered": plan.considered,
            "pathways_never_better": plan.dropped,
        },
        "tracts": [
            {
                "name": tract.name,
                "acres": tract.acres,
                "pathway": tract.labels[0],
                "value": tract.acres * tract.value_per_ac[0],
                "years": {job: years.tolist() for job, years in shown.jobs(number).items()},
            }
            for number, tract in enumerate(shown.tracts)
        ],
        "flows": dict(shown.flows),
        "herd": dict(shown.herd),
        "balance": shown.balance if len(shown.balance) else None,
        "shadow_prices": {
            "of": "the relaxation, in which a tract may be split between pathways",
            "prices": [{"words": price.words, "adds": price.adds} for price in plan.shadow_prices],
        },
        "missed_when_run_exactly": [_miss(miss) for miss in planned.missed],
        "ways_out": [_way(way) for way in plan.ways_out],
        "cautions": list(CAUTIONS),
    }


def _miss(miss: Miss) -> dict[str, Any]:
    return {"limit": miss.row.words, "by": miss.by, "unit": miss.row.unit, "words": miss_words(miss)}


def _way(way: Way) -> dict[str, Any]:
    return {"couplings": list(way.families), "words": way_words(way), "misses": [_miss(miss) for miss in way.misses]}
