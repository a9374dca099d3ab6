"""What a schema refused is told in plain words, with what to give instead."""

from __future__ import annotations

from typing import Annotated, Literal

import pytest
from pydantic import BaseModel, Field, ValidationError, field_validator

from bot.errors import said_of


class Form(BaseModel):
    names: list[str] = []
    count: Annotated[int, Field(ge=1, le=366)] = 1
    name: Annotated[str, Field(min_length=1, max_length=3)] = "a"
    language: Literal["en", "es"] = "en"
    odd: int = 1

    @field_validator("odd")
    @classmethod
    def _is_odd(cls, value: int) -> int:
        if value % 2 == 0:
            raise ValueError(f"{value} is even; give an odd number")
        return value


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"names": 3}, "give a list"),
        ({"count": "many"}, "give a whole number"),
        ({"count": 0}, "give 1 or more"),
        ({"count": 900}, "give 366 or less"),
        ({"name": 7}, "give text, in quotes where it looks like a number"),
        ({"name": ""}, "give text; its shortest length is 1"),
        ({"name": "Marigold"}, "give at most 3 characters"),
        ({"language": "fr"}, "give 'en' or 'es'"),
        ({"odd": 2}, "2 is even; give an odd number"),
    ],
)
def test_a_refused_value_is_told_with_what_to_give(given: dict[str, object], said: str) -> None:
    with pytest.raises(ValidationError) as refused:
        Form(**given)  # type: ignore[arg-type]

    assert [said_of(problem) for problem in refused.value.errors()] == [said]
