"""One version of a plan as the page holds it: the plan, its comparison, its pictures and its words."""

import time
from typing import Any

from workbench.dangers import dangers
from workbench.documents import comparison_document
from workbench.output import plain
from workbench.page.memory import Memory
from workbench.page.plans import Opened
from workbench.page.scene import scene_document
from workbench.page.why import answer_words
from workbench.words import cautions


def version_document(opened: Opened, memory: Memory) -> dict[str, Any]:
    """Compare a plan and gather what the page shows of it.

    Parameters
    ----------
    opened
        The plan, checked.
    memory
        What was grown before.

    Returns
    -------
    dict
        Ready for JSON: plan, comparison, scene, words, problems (none), and the seconds it took.
    """
    started = time.perf_counter()
    comparison = memory.compare(opened.scenario)
    answer, others = answer_words(comparison)
    document: dict[str, Any] = plain(
        {
            "plan": opened.document,
            "comparison": comparison_document(comparison),
            "scene": scene_document(comparison),
            "words": {
                "answer": answer,
                "findings": others,
                "cautions": [*cautions(opened.scenario), *dangers(opened.scenario)],
            },
            "problems": [],
        }
    )
    return document | {"seconds": round(time.perf_counter() - started, 3)}
