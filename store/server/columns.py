"""Columns that hold on a server exactly what they hold in a file.

Every integer has 64 bits and every text is ordered by its signs' numbers, as in SQLite; what SQLite's words for
a default mean is said in the server's. So tables and migrations are written once, for both.
"""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import Boolean, Column, Dialect, Integer, SmallInteger
from sqlalchemy.dialects.postgresql.base import PGDDLCompiler, PGTypeCompiler
from sqlalchemy.dialects.postgresql.psycopg import PGDialect_psycopg

_NOW: Final = "(strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))"
_NOW_THERE: Final = """to_char(now() AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"')"""


def make_columns_alike(dialect: Dialect) -> None:
    """Lets one engine's dialect make such columns."""
    dialect.colspecs = {**dialect.colspecs, Integer: _Whole, SmallInteger: _Whole}
    dialect.ddl_compiler = _Tables
    dialect.type_compiler_instance = _Types(dialect)


def alike_dialect() -> Dialect:
    """A dialect that makes such columns, for working out statements without a connection."""
    dialect = PGDialect_psycopg()  # type: ignore[no-untyped-call]
    make_columns_alike(dialect)
    return dialect


class _Tables(PGDDLCompiler):
    def get_column_specification(self, column: Column[Any], **how: Any) -> str:
        said = str(super().get_column_specification(column, **how))  # type: ignore[no-untyped-call]
        return said.replace(" SERIAL", " BIGSERIAL", 1)

    def get_column_default_string(self, column: Column[Any]) -> str | None:
        default = super().get_column_default_string(column)
        if default is not None and default.replace("%%", "%") == _NOW:
            return _NOW_THERE
        if isinstance(column.type, Boolean):
            return {"0": "false", "1": "true"}.get(str(default), default)
        return default


class _Types(PGTypeCompiler):
    def visit_INTEGER(self, type_: Any, **how: Any) -> str:
        return "BIGINT" if _is_column(how) else super().visit_INTEGER(type_, **how)

    def visit_TEXT(self, type_: Any, **how: Any) -> str:
        kind = super().visit_TEXT(type_, **how)
        return f'{kind} COLLATE "C"' if _is_column(how) else kind


class _Whole(Integer):
    """A number that is handed over as large as it is, and not first said to be one of 32 bits."""

    render_bind_cast = False


def _is_column(how: dict[str, Any]) -> bool:
    return isinstance(how.get("type_expression"), Column)
