"""Three hundred probes: at least 97 of 100 right, and none silently wrong."""

from __future__ import annotations

from tests.engine.probes.scoring import probes, score


def test_probes_are_right_or_said_to_be_unknown() -> None:
    found = score()
    total = len(found.right) + len(found.told) + len(found.wrong)
    assert total == len(probes()) >= 300
    assert not found.wrong, "\n".join(f"{p.formula}: {value!r}, expected {p.expected!r}" for p, value in found.wrong)
    assert len(found.right) >= 0.97 * total, "\n".join(f"{p.formula}: {reason}" for p, reason in found.told)


def test_no_probe_is_asked_twice() -> None:
    formulas = [probe.formula for probe in probes()]
    assert len(formulas) == len(set(formulas))
