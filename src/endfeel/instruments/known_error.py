"""What is known of the error of an angle that a phone, an inclinometer or a dynamometer gave."""

from __future__ import annotations

from dataclasses import dataclass

from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library
from endfeel.instruments.settings import setting_figure
from endfeel.measurement.error_figures import STUDIED_AS, ErrorBasis, Wanted, motion_basis, movement_of


@dataclass(frozen=True, slots=True)
class KnownError:
    """The published error that speaks about one procedure and instrument."""

    basis: ErrorBasis | None
    """The row with its caveats; None when the evidence has no row about this procedure."""
    bias: Figure | None
    """How far a phone stood from optical tracking; None for other instruments."""


def known_error(procedure_id: str, instrument: str, library: Library) -> KnownError:
    """The figures for this procedure measured with this instrument by the same hands."""
    movement = movement_of(procedure_id, library)
    wanted = Wanted(instrument=STUDIED_AS.get(instrument, instrument), rater="intra")
    basis = motion_basis(movement, wanted, library) if movement else None
    return KnownError(basis, setting_figure(library, "phone_bias_deg") if instrument == "phone" else None)
