"""Check and fit as one plain text, as `check -v` and `fit -v` print them."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

from exports.check_report import print_check
from exports.fit_report import print_fit


def text_report(check: Mapping[str, Any], fit: Mapping[str, Any]) -> str:
    """Write both documents as text of at most 100 columns, every formula, source, input and pair included."""
    out = io.StringIO()
    print_check(check, stream=out, verbosity=1)
    out.write("\n\n")
    print_fit(fit, stream=out, verbosity=1)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"
