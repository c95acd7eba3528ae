"""The tables of an export as Parquet too, for those who compute on them."""

from __future__ import annotations

from pathlib import Path

from lees.archive.open_form import NUMBERS, columns_of

_WHOLE = frozenset({"version", "case_version", "ordinal", "size", "line", "undoes"})


def write_parquet(folder: Path) -> None:
    """Write `NAME.parquet` beside each `NAME.csv`, with numbers as numbers and texts as entered."""
    import duckdb

    with duckdb.connect() as connection:
        connection.execute("SET threads = 1")  # one order of rows, so that bytes repeat
        for source in sorted(folder.glob("*.csv")):
            columns = ", ".join(_column(source.stem, name) for name in columns_of(source.stem))
            # A path cannot be bound in COPY; quotes in it are doubled.
            connection.execute(
                f"COPY (SELECT {columns} FROM read_csv({_quoted(source)}, header=true, "  # noqa: S608
                "all_varchar=true, delim=',', quote='\"', escape='\"', nullstr='', "
                "auto_detect=false, parallel=false, max_line_size=268435456, "
                f"columns={_types(source.stem)})) TO {_quoted(source.with_suffix('.parquet'))} "
                "(FORMAT parquet, COMPRESSION zstd)"
            )


def _column(table: str, name: str) -> str:
    """Return the expression that makes a cell the value that it was written from."""
    if name in NUMBERS and not (table in ("findings", "peers") and name == "number"):
        kind = "BIGINT" if name in _WHOLE else "DOUBLE"
        return f'CAST("{name}" AS {kind}) AS "{name}"'
    if name == "number":
        return f'CAST("{name}" AS BIGINT) AS "{name}"'
    risky = f"""starts_with("{name}", '''')"""
    return f'CASE WHEN {risky} THEN substr("{name}", 2) ELSE "{name}" END AS "{name}"'


def _types(table: str) -> str:
    return "{" + ", ".join(f"'{name}': 'VARCHAR'" for name in columns_of(table)) + "}"


def _quoted(path: Path) -> str:
    return "'" + str(path).replace("'", "''") + "'"
