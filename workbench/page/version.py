"""One version of a plan as the page holds it: the plan, its comparison, its pictures and its words."""

import time
from typing import Any

from simulator.result import Outcome
from workbench.dangers import dangers
from workbench.documents import comparison_document, system_document
from workbench.output import plain
from workbench.page.memory import Memory
from workbench.page.plans import Opened
from workbench.page.scene import scene_document, system_picture
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

    def of_system(outcome: Outcome) -> dict[str, Any]:
        return memory.of_system("document", outcome, lambda found: dict(plain(system_document(found))))

    def picture(outcome: Outcome) -> dict[str, Any]:
        return memory.of_system("picture", outcome, system_picture)

    document: dict[str, Any] = plain(
        {
            "plan": opened.document,
            "comparison": comparison_document(comparison, of_system),
            "scene": scene_document(comparison, picture),
            "words": {
                "answer": answer,
                "findings": others,
                "cautions": [*cautions(opened.scenario), *dangers(opened.scenario)],
            },
            "problems": [],
        }
    )
    return document | {"seconds": round(time.perf_counter() - started, 3)}
