"""The result of an audit as SARIF 2.1.0 (an OASIS standard), for those who keep workbooks under version control."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from quotebook import __version__
from quotebook.audit.accept import cell_digest
from quotebook.audit.explain import first_line, sections
from quotebook.audit.finding import Finding, Severity
from quotebook.audit.registry import all_checks
from quotebook.audit.runner import CHECK_FAILED
from quotebook.flows.audit import FileAudit

_LEVELS = {
    Severity.DO_NOT_QUOTE: "error",
    Severity.PROBABLY_WRONG: "error",
    Severity.LOOK_AT_IT: "warning",
    Severity.REMARK: "note",
}


def sarif_text(audits: Sequence[FileAudit]) -> str:
    """Return the log as text: one run, one rule for each check, one result for each finding."""
    rules = [_rule(one.check.name, one.explanation, one.check.severity) for one in all_checks()]
    rules.append(_rule(CHECK_FAILED, "A check stopped before its end.", Severity.LOOK_AT_IT))
    index = {rule["id"]: number for number, rule in enumerate(rules)}
    run = {
        "tool": {"driver": {"name": "quotebook", "version": __version__, "rules": rules}},
        "columnKind": "unicodeCodePoints",
        "invocations": [
            {
                "executionSuccessful": any(audit.error is None for audit in audits),
                "toolExecutionNotifications": [note for audit in audits for note in _notes(audit)],
            }
        ],
        "artifacts": [{"location": {"uri": _uri(audit.file)}} for audit in audits],
        "results": [_result(audit, one, index, False) for audit in audits for one in audit.findings]
        + [_result(audit, one, index, True) for audit in audits for one in audit.accepted],
    }
    schema = "https://json.schemastore.org/sarif-2.1.0.json"
    return json.dumps({"$schema": schema, "version": "2.1.0", "runs": [run]}, indent=2) + "\n"


def _rule(name: str, explanation: str, severity: Severity) -> dict[str, Any]:
    told = sections(explanation)
    rule: dict[str, Any] = {
        "id": name,
        "shortDescription": {"text": first_line(explanation)},
        "defaultConfiguration": {"level": _LEVELS[severity]},
    }
    if told:
        rule["fullDescription"] = {"text": " ".join(told["What it finds"].split())}
        rule["help"] = {"text": told["How to mend"]}
    return rule


def _notes(audit: FileAudit) -> list[dict[str, Any]]:
    place = [{"physicalLocation": {"artifactLocation": {"uri": _uri(audit.file)}}}]
    if audit.error is not None:
        return [{"level": "error", "message": {"text": audit.error}, "locations": place}]
    told = [f"not judged: {one.check}: {one.reason}" for one in audit.not_judged]
    return [{"level": "note", "message": {"text": text}, "locations": place} for text in told]


def _result(audit: FileAudit, finding: Finding, index: dict[str, int], accepted: bool) -> dict[str, Any]:
    assert audit.view is not None, "a file with findings was read"
    where = f"{finding.sheet}!{finding.cells}" if finding.cells else "workbook"
    location: dict[str, Any] = {
        "physicalLocation": {"artifactLocation": {"uri": _uri(audit.file)}},
        "logicalLocations": [{"fullyQualifiedName": where, "kind": "cell" if finding.cells else "workbook"}],
    }
    text = f"{where}: found {finding.found or 'nothing'}; expected {finding.expected or 'nothing'}. {finding.mend}"
    result: dict[str, Any] = {
        "ruleId": finding.check,
        "level": _LEVELS[finding.severity],
        "message": {"text": text},
        "locations": [location],
        "partialFingerprints": {"cellContent/v1": cell_digest(audit.view, finding)},
        "properties": {
            "severity": finding.severity.value,
            "field": finding.field,
            "effectOnPrice": finding.effect_on_price,
            "evidence": [str(one) for one in finding.evidence],
        },
    }
    if finding.check in index:
        result["ruleIndex"] = index[finding.check]
    if accepted:
        result["suppressions"] = [{"kind": "external", "status": "accepted"}]
    return result


def _uri(file: str) -> str:
    path = Path(file)
    if path.is_absolute():
        return path.as_uri()
    from urllib.parse import quote

    return quote(path.as_posix())
