"""What stands on the first page of a client's report; nothing in it moves a result."""

import datetime as dt
from typing import Annotated, Final

from pydantic import BeforeValidator, Field

from simulator.scenario.base import Section

_CONTROLS: Final = r"\p{Cc}\u2028-\u202e\u2066-\u2069\ufffe\uffff"
"""Control characters, breaks of lines, marks that turn the direction of writing, and codes that XML has not."""

Line = Annotated[str, Field(max_length=200, pattern=f"^[^{_CONTROLS}]*$")]
"""A line that is printed: one line, without characters that steer a screen."""
Paragraph = Annotated[str, Field(max_length=2000, pattern=rf"^(?:[^{_CONTROLS}]|\n)*$")]
"""Some lines that are printed."""


def _day(value: object) -> object:
    """A date of TOML, or the same written in quotes, as a date; the schema refuses what is neither."""
    try:
        return dt.date.fromisoformat(value) if isinstance(value, str) else value
    except ValueError:
        return value


Day = Annotated[dt.date, BeforeValidator(_day)]


class Report(Section):
    """For whom a report is written, by whom and when, and what was asked."""

    client: Line = Field(default="", description="for whom, one line of up to 200 letters")
    prepared_by: Line = Field(default="", description="by whom, one line of up to 200 letters")
    date: Day | None = Field(default=None, description="day of the report, such as 2025-03-03")
    question: Paragraph = Field(default="", description="what the client asked, in up to 2,000 letters")
