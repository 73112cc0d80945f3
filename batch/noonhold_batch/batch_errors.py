"""What a batch refuses to begin with, as one error."""

from __future__ import annotations

from noonhold.errors import NoonholdError


class BatchError(NoonholdError):
    """Input of a batch cannot be used: a file, a result, or a combination of options."""
