"""What every table of the scenario file has in common."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Year = Annotated[int, Field(ge=0, le=120)]
LatePlanYear = Annotated[int, Field(ge=1, le=120)]
Share = Annotated[float, Field(ge=0.0, le=1.0)]
Name = Annotated[str, Field(min_length=1, max_length=40, pattern=r"^\w[\w .,'()/-]*$")]
"""A name that a person gives: it is printed, and names a line of a table."""


class Section(BaseModel):
    """A frozen table of the scenario file that refuses keys it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)
