"""A comparison as JUnit XML, the form in which CI servers show tests."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from noonhold_batch.results.drift import Comparison

# XML 1.0 section 2.2 has no place for most control characters, not even escaped.
_UNPRINTABLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def junit_xml(found: Comparison) -> str:
    """Return a comparison as JUnit XML.

    Parameters
    ----------
    found : Comparison
        From `noonhold_batch.results.drift.compare`.

    Returns
    -------
    str
        One test case a rig and variable, one for the axes.
    """
    failures = sum(check.drifted > 0 for check in found.checks) + bool(found.unmatched)
    counts = {"tests": str(len(found.checks) + 1), "failures": str(failures), "errors": "0"}
    root = ElementTree.Element("testsuites", counts)
    suite = ElementTree.SubElement(root, "testsuite", {"name": "batch compare", **counts})
    axes = ElementTree.SubElement(suite, "testcase", {"classname": "axes", "name": "same runs"})
    if found.unmatched:
        _fail(axes, f"{len(found.unmatched)} rigs or sites differ", "\n".join(found.unmatched))
    for check in found.checks:
        names = {"classname": _printable(check.rig), "name": check.variable}
        case = ElementTree.SubElement(suite, "testcase", names)
        if check.drifted:
            said = (
                f"{check.drifted} of {check.compared} values drifted by more than"
                f" {check.tolerance:g}, the worst by {check.worst:g}"
            )
            text = f"at {check.where}: baseline {check.before:g}, now {check.now:g}"
            _fail(case, said, text)
    ElementTree.indent(root)
    return ElementTree.tostring(root, encoding="unicode", xml_declaration=True) + "\n"


def _fail(case: ElementTree.Element, said: str, text: str) -> None:
    failure = ElementTree.SubElement(case, "failure", {"message": _printable(said)})
    failure.text = _printable(text)


def _printable(text: str) -> str:
    return _UNPRINTABLE.sub("?", text)
