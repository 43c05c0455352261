"""Where questions are answered: DuckDB inside this process unless told otherwise, PostgreSQL or Spark by address."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from endfeel.caseload.questions import Tables
from endfeel.caseload.tables import COLUMNS, Rows
from endfeel.vocabulary import CannotRead, Fault, Refused

if TYPE_CHECKING:
    import pyarrow as pa

DUCKDB = "duckdb"
KINDS = "duckdb, postgresql://user@host/database, spark://host:7077 or spark://local[2]"
ADDRESS_VARIABLE = "ENDFEEL_CASELOAD"


@contextmanager
def opened(address: str, rows: Rows | Path) -> Iterator[Tables]:
    """The tables on the engine at an address; gone when it is left.

    Parameters
    ----------
    address : empty or `duckdb` for this process, a PostgreSQL or a Spark address. Nothing is kept there: the rows lie
        in temporary tables.
    rows : Arrow tables by name, or a folder of Parquet files named after the tables.

    Raises CannotRead for an address of another kind or a folder without the tables, Refused when nothing answers there
    or a package is missing.
    """
    address = address or os.environ.get(ADDRESS_VARIABLE) or DUCKDB
    kind = address.partition(":")[0]
    makers = {DUCKDB: _duckdb, "postgresql": _postgresql, "postgres": _postgresql, "spark": _spark}
    if kind not in makers:
        raise CannotRead([Fault("no such engine", _shown(address), KINDS, field="engine")])
    if isinstance(rows, Path):
        missing = [name for name in COLUMNS if not parquet(rows, name).is_file()]
        if missing:
            raise CannotRead([Fault("no caseload in this folder", str(rows), f"{missing[0]}.parquet", field="from")])
    with makers[kind](address, rows) as tables:
        yield tables


def parquet(folder: Path, name: str) -> Path:
    """The file of one table in a folder."""
    return folder / f"{name}.parquet"


def write_parquet(rows: Rows, folder: Path) -> None:
    """Every table as a Parquet file. Raises OSError when it cannot be written."""
    import pyarrow.parquet as pq

    folder.mkdir(parents=True, exist_ok=True)
    for name, table in rows.items():
        pq.write_table(table, parquet(folder, name))


def _arrow(rows: Rows | Path, name: str) -> pa.Table:
    if not isinstance(rows, Path):
        return rows[name]
    import pyarrow.parquet as pq

    return pq.read_table(parquet(rows, name))


def _shown(address: str) -> str:
    """The address without a password."""
    before, at, host = address.rpartition("@")
    return f"{before.rpartition(':')[0]}:…@{host}" if at and ":" in before.partition("://")[2] else address


@contextmanager
def _duckdb(_: str, rows: Rows | Path) -> Iterator[Tables]:
    ibis = _ibis()
    engine = ibis.duckdb.connect()
    try:
        if not isinstance(rows, Path):
            engine.con.execute("SET temp_directory = ''")  # what is in memory alone is never spilled onto a disk
        for name in COLUMNS:
            if isinstance(rows, Path):
                engine.read_parquet(parquet(rows, name), table_name=name)
            else:
                engine.con.register(name, rows[name])
        yield Tables.of(engine.table, lambda sql: engine.con.sql(sql).to_arrow_table())
    finally:
        engine.disconnect()


PATIENCE_SECONDS = 5
"""How long a database may take to answer at all."""


@contextmanager
def _postgresql(address: str, rows: Rows | Path) -> Iterator[Tables]:
    ibis = _ibis()
    try:
        import psycopg

    except ImportError:
        raise Refused("PostgreSQL needs one more package: pip install 'endfeel[postgresql]'") from None
    try:
        engine = ibis.connect(address.replace("postgresql+psycopg:", "postgresql:"), connect_timeout=PATIENCE_SECONDS)
    except psycopg.OperationalError as error:
        raise Refused(f"nothing answers at {_shown(address)}: {error}") from None
    try:
        made = {}
        with engine.con.cursor() as cursor:
            for setting in _OF_THIS_CONNECTION:
                cursor.execute(setting)
        for name, columns in COLUMNS.items():
            made[name] = engine.create_table(f"caseload_{name}", schema=ibis.schema(columns), temp=True)
            _copy(engine, f"caseload_{name}", _arrow(rows, name))
        yield Tables.of(made.__getitem__)
    finally:
        engine.disconnect()


_OF_THIS_CONNECTION = ("SET work_mem = '256MB'", "SET enable_nestloop = off")
"""Sorting and joining stay in memory; joins on three columns at once are taken for rarer than they are, and a loop in a
loop over all rows is what comes of it."""


def _copy(engine: Any, name: str, table: pa.Table) -> None:
    """Rows into a table by COPY: inserts one by one take minutes for millions."""
    import pyarrow as pa
    import pyarrow.csv as csv

    with engine.con.cursor() as cursor:
        with cursor.copy(f'COPY "{name}" FROM STDIN (FORMAT csv)') as copy:
            for batch in table.to_batches(max_chunksize=200_000):
                told = pa.BufferOutputStream()
                csv.write_csv(batch, told, csv.WriteOptions(include_header=False))
                copy.write(told.getvalue().to_pybytes())
        cursor.execute(f'ANALYZE "{name}"')


@contextmanager
def _spark(address: str, rows: Rows | Path) -> Iterator[Tables]:
    ibis = _ibis()
    try:
        from pyspark.sql import SparkSession
    except ImportError:
        raise Refused("Spark needs one more package: pip install 'endfeel[spark]', and Java 17") from None
    where = address.removeprefix("spark://")
    master = where if where.startswith("local") else address
    builder = SparkSession.builder.master(master).appName("endfeel caseload")
    settings = {**_SPARK, **_SPARK_HERE} if master != address else _SPARK
    for key, value in settings.items():
        builder = builder.config(key, value)
    try:
        session = builder.getOrCreate()
    except Exception as error:  # noqa: BLE001 - Java missing, no master: each comes in a class of its own
        raise Refused(f"Spark does not start at {where}: {str(error).splitlines()[0]}") from None
    session.sparkContext.setLogLevel("ERROR")
    engine = ibis.pyspark.connect(session)
    try:
        for name in COLUMNS:
            frame = (
                session.read.parquet(str(parquet(rows, name)))
                if isinstance(rows, Path)
                else session.createDataFrame(rows[name])
            )
            frame.createOrReplaceTempView(name)
        yield Tables.of(engine.table)
    finally:
        session.stop()


_SPARK = {"spark.ui.enabled": "false", "spark.ui.showConsoleProgress": "false"}
_SPARK_HERE = {"spark.sql.shuffle.partitions": "2", "spark.driver.bindAddress": "127.0.0.1",
               "spark.driver.host": "127.0.0.1"}  # fmt: skip
"""In this machine's own Spark: as few pieces as there are cores, nothing on the network."""


def _ibis() -> Any:
    try:
        import ibis
    except ImportError:
        raise Refused("counting needs more packages: pip install 'ibis-framework[duckdb]'") from None
    return ibis
