"""A small invented set of data files, whole and in order; tests break a copy of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

TABLES = """
[table.accuracy]
title = "Invented accuracy"
topic = "diagnosis"
population = "setting"
n = "people"
[table.accuracy.column]
test = { kind = "text", required = true }
sensitivity = { kind = "number", unit = "probability", min = 0, max = 1, low = "sens_low", high = "sens_high" }
sens_low = { kind = "number", unit = "probability", min = 0, max = 1 }
sens_high = { kind = "number", unit = "probability", min = 0, max = 1 }
specificity = { kind = "number", unit = "probability", min = 0, max = 1 }
tp = { kind = "integer", unit = "people", min = 0 }
fp = { kind = "integer", unit = "people", min = 0 }
fn = { kind = "integer", unit = "people", min = 0 }
tn = { kind = "integer", unit = "people", min = 0 }
n_patients = { kind = "integer", unit = "people", min = 0 }
people = { kind = "integer", unit = "people", min = 0 }
setting = { kind = "choice", choices = ["clinic", "hospital"] }
doubt = { kind = "text" }

[table.error]
title = "Invented error"
topic = "measurement"
[table.error.column]
motion = { kind = "text", required = true }
sem = { kind = "number", unit_from = "unit", min = 0 }
mdc = { kind = "measure", unit_from = "unit" }
mdc_confidence_percent = { kind = "number", unit = "percent" }
p_value = { kind = "range", unit = "probability", min = 0, max = 1 }
p10 = { kind = "number", unit_from = "unit" }
p50 = { kind = "number", unit_from = "unit" }
p90 = { kind = "number", unit_from = "unit" }
unit = { kind = "text" }
doubt = { kind = "text" }

[document.procedures]
title = "Invented procedures"
topic = "examination"

[document.rules]
title = "Invented rules"
topic = "rules"
[[document.rules.figures]]
at = "rule.figures"
values = ["text"]
[[document.rules.figures]]
at = "rule"
values = ["limit", "advice"]
unit = "mm"
"""
SOURCES = """id,citation,address
first2001,"First and Other 2001 Invented J 1:1",https://example.org/first
second2002,"Second 2002 Invented J 2:2",
"""
ACCURACY = """\
id,test,sensitivity,sens_low,sens_high,specificity,tp,fp,fn,tn,n_patients,people,setting,doubt,source,provenance,note
a1,"slide, slow",0.80,0.70,0.90,0.90,80,10,20,90,200,200,clinic,,first2001,read,LR+=8.0; LR-=0.22
a2,twist,0.60,,,0.75,,,,,,40,hospital,,second2002,memory,
"""
ERROR = """id,motion,sem,mdc,mdc_confidence_percent,p_value,p10,p50,p90,unit,doubt,source,provenance,note
e1,turning,2.0,5.54,95,<0.001,10,20,30,deg,,first2001,read,
e2,lifting,3.0,8 to 10,,0.04,,,,deg,,second2002,practice,
"""
PROCEDURES = """
[[procedure]]
id = "slide"
name = "Invented slide"
region = "glenohumeral"
technique = "glide"
patient_positions = ["side_lying", "supine"]
preferred_position = "side_lying"
side_lying = "standard"
fixed = "scapula"
moved = "humeral head"
direction = "posterior"
informs = ["stiffness"]
typical_seconds = 20
irritability_load = 1
outcomes = "glide"
levels = ["T5", "R3"]
skip_if = ["fracture"]
sided = false
source = "first2001"
provenance = "practice"
"""
RULES = """
[[rule]]
id = "edge"
limit = 4.5
advice = "stop at the edge"
source = "first2001"
provenance = "memory"
advice_provenance = "practice"
figures = [
  { text = "Half of them stopped", source = "second2002", provenance = "read" },
]
"""

Breaker = Callable[[str, str, str], Path]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The invented data files, without a fault."""
    files = {
        "tables.toml": TABLES,
        "sources.csv": SOURCES,
        "accuracy.csv": ACCURACY,
        "error.csv": ERROR,
        "procedures.toml": PROCEDURES,
        "rules.toml": RULES,
    }
    for name, text in files.items():
        (tmp_path / name).write_text(text.lstrip("\n"), encoding="utf-8")
    return tmp_path


@pytest.fixture
def broken(folder: Path) -> Breaker:
    """Replaces one piece of one file, which must stand there exactly once, and gives the folder."""

    def replace(file: str, old: str, new: str) -> Path:
        text = (folder / file).read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {file}"
        (folder / file).write_text(text.replace(old, new), encoding="utf-8")
        return folder

    return replace
