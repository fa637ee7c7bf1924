"""What SQLite and PostgreSQL say in different words."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import BigInteger, FunctionElement
from sqlalchemy.ext.compiler import compiles


class larger(FunctionElement[int]):  # noqa: N801 - reads as SQL's own functions do
    """The larger of two integers that are not null."""

    type = BigInteger()
    name = "larger"
    inherit_cache = True


@compiles(larger, "sqlite")
def _in_sqlite(element: larger, compiler: Any, **how: Any) -> str:
    return f"max({compiler.process(element.clauses, **how)})"


@compiles(larger, "postgresql")
def _in_postgresql(element: larger, compiler: Any, **how: Any) -> str:
    return f"greatest({compiler.process(element.clauses, **how)})"


def now_text() -> str:
    """This moment as the barn keeps moments."""
    return f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}"
