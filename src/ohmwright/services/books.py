"""The rule catalogue and the published figures."""

from collections import Counter
from typing import Any

from ohmwright.services.answers import envelope


def rules_json(rule_set: str | None) -> dict[str, Any]:
    """The answer of `rules --json`: what is built, and what of the catalogue is not."""
    from ohmwright.checks.catalogue import catalogue
    from ohmwright.checks.registry import rules

    built = [r for r in rules().values() if rule_set is None or rule_set in r.sets]
    numbers = {r.number for r in built}
    rows = []
    for r in built:
        clause = r.clauses.get(rule_set or "") or next(iter(r.clauses.values()), None)
        rows.append(
            {"rule": r.id, "number": r.number, "title": r.title, "why": " ".join(r.why.split()), "severities": list(r.severities), "sets": list(r.sets), "needs": list(r.needs),
             "clause": str(clause) if clause else None, "edition": clause.edition or None if clause else None, "seen": clause.seen if clause else None,
             "clauses": {s: {"clause": str(c), "edition": c.edition or None, "seen": c.seen} for s, c in r.clauses.items()}, "never_overridden": r.never_overridden}
        )  # fmt: skip
    return {
        **envelope(),
        "set": rule_set,
        "rules": rows,
        "not_built": [
            {"number": n, "rule": c.id, "title": c.title}
            for n, c in ((c.number, c) for c in catalogue().values())
            if n not in numbers and (rule_set is None or rule_set in c.sets)
        ],
    }


def sources_json(only_memory: bool) -> dict[str, Any]:
    """The answer of `sources --json`."""
    from ohmwright.standards import all_figures

    rows = [
        {"id": f.id, "value": f.value, "unit": f.unit or None, "standard": f.clause.standard or "common practice, no source", "edition": f.clause.edition or None, "clause": f.clause.clause or None, "seen": f.clause.seen}
        for f in all_figures()
        if not only_memory or f.clause.seen == "memory"
    ]  # fmt: skip
    return {**envelope(), "sources": rows, "by_seen": dict(Counter(r["seen"] for r in rows))}
