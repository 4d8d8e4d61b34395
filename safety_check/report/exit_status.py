"""The exit status that each verdict gives."""

from __future__ import annotations

from safety_check.model.verdict import Severity

EXIT_STATUS = {
    Severity.GO: 0,
    Severity.MARGINAL: 20,
    Severity.NO_GO: 30,
    Severity.UNKNOWN: 40,
}
