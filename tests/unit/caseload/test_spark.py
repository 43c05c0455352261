"""Spark answers as DuckDB does. It needs the extra `spark` and Java; without the package it is left out."""

from __future__ import annotations

import shutil

import pytest

from endfeel.care.caseload import invented
from endfeel.caseload.engines import opened
from endfeel.caseload.questions import ask_all

pytest.importorskip("pyspark", reason="the extra `spark` is not installed")


@pytest.mark.timeout(1200)
@pytest.mark.filterwarnings("ignore")
def test_spark_answers_as_duckdb_does() -> None:
    if shutil.which("java") is None:
        pytest.fail("pyspark is installed but Java is not: apt-get install default-jre-headless")
    rows = invented(400, 5)
    with opened("", rows) as tables:
        here = ask_all(tables)
    with opened("spark://local[2]", rows) as tables:
        assert ask_all(tables) == here
