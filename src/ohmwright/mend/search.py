"""Greedy from the gravest finding down, each answer proved by the rules, then everything dropped that is not needed."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from ohmwright.checks.types import Finding
from ohmwright.mend.ask import Ask
from ohmwright.mend.edits import undone
from ohmwright.mend.proposals import ANSWERS, BY_CABLE, answers, rank
from ohmwright.mend.shop import Shop
from ohmwright.mend.trial import (
    PLATED,
    SEVERITIES,
    Draft,
    Heirs,
    Trials,
    base,
    is_open,
    key,
    loaded,
    plateless,
    weight,
)
from ohmwright.mend.types import Change, Ladder, Proposed, Step
from ohmwright.mend.walls import as_set, emptied, new_dangers, refused, settled_by_emptying
from ohmwright.study import Study

#: Answers within answers: a fuse that needs a larger cable, whose fault then needs another device.
DEEPEST = 2
MOST_HEALED = 8
#: Rungs of a ladder that are judged by every rule before it is given up.
MOST_SETTLED = 3
MOST_ROUNDS = 6
#: About what a device costs: a cheaper answer needs no comparison with another way.
SMALL_PRICE = Decimal(25)


@dataclass(frozen=True, slots=True)
class Answer:
    """Changes that clear a finding without a new danger, and the draft they lead to.

    `lesser` counts the findings of a lesser severity that they bring about.
    """

    changes: tuple[Proposed, ...]
    draft: Draft
    lesser: int

    @property
    def cost(self) -> tuple[int, Decimal, int]:
        """What it brings about, then price, then lines touched; what has no price counts as dear."""
        price = sum(
            (Decimal(10**6) if p.change.price is None else p.change.price for p in self.changes), Decimal(0)
        )
        return self.lesser, price, sum(p.change.lines for p in self.changes)


#: A finding by its words: what nothing on the shelf cleared is not tried again while it says the same.
Said = tuple[str, str, str]


def _said(finding: Finding) -> Said:
    return finding.rule, finding.subject, finding.message


class Search:
    """One rig on its way to fewer findings."""

    def __init__(self, trials: Trials, shop: Shop, root: Draft) -> None:
        self.trials = trials
        self.shop = shop
        self.root = root
        self.draft = root
        self.taken: list[Proposed] = []
        self._held: dict[Said, tuple[Change, ...]] = {}
        self._hopeless: set[Said] = set()

    @property
    def heirs(self) -> dict[str, str]:
        """Pieces that were split off, by the run they came from."""
        return {a: b for p in self.taken for a, b in p.change.heirs}

    def run(self) -> None:
        """Take answers until none is left, drop what is not needed, and look once more."""
        for _ in range(MOST_ROUNDS):
            if not self._climb() or not self._drop():
                return

    def _climb(self) -> bool:
        """Answer what can be answered until a whole round finds nothing; whether anything was."""
        before = len(self.taken)
        moved = True
        while moved:
            moved = False
            tried: set[tuple[str, str]] = set()
            while (finding := self._next(tried)) is not None:
                tried.add((finding.rule, finding.subject))
                self.trials.about = f"{finding.number} {finding.subject}"
                answer = self.answer(self.draft, finding, self.heirs, 0)
                if answer is not None:
                    self.draft = answer.draft
                    self._take(answer.changes)
                    moved = True
        return len(self.taken) > before

    def _next(self, tried: set[tuple[str, str]]) -> Finding | None:
        """The gravest finding not yet tried since the last round began."""
        waiting = [
            f
            for f in self.draft.findings
            if (is_open(f) or plateless(f))
            and (f.rule, f.subject) not in tried
            and _said(f) not in self._hopeless
        ]
        return min(
            waiting,
            key=lambda f: (SEVERITIES.index(f.severity), f.verdict != "fail", rank(f.rule)),
            default=None,
        )

    def _take(self, changes: tuple[Proposed, ...]) -> None:
        for p in changes:
            self.taken = merged(self.taken, p, self.shop.bought)

    def answer(self, draft: Draft, finding: Finding, heirs: Heirs, depth: int) -> Answer | None:
        """The cheapest answer to a finding; nested ones take the first that holds, and what held for the same words before."""
        said = _said(finding)
        if depth and said in self._held:
            again = self._settled(draft, finding, Step(self._held[said]), heirs, depth)
            if again is not None:
                return again
        got = self._answer(draft, finding, heirs, depth)
        if depth and got is not None:
            self._held[said] = tuple(p.change for p in got.changes)
        return got

    def _answer(self, draft: Draft, finding: Finding, heirs: Heirs, depth: int) -> Answer | None:
        found: list[Answer] = []
        cleared_by_any = False
        for ladders in answers(Ask(draft, finding, self.shop, self.trials, self.root.study, heirs)):
            for ladder in ladders:
                for step in self._rungs(draft, finding, _within(ladder, found), heirs):
                    cleared_by_any = True
                    got = self._settled(draft, finding, step, heirs, depth)
                    if got is not None:
                        found.append(got)
                        if ladder.preferred:
                            return got
                        if not got.lesser:
                            break
                if found and depth:
                    return found[0]
            best = min(found, key=lambda a: a.cost, default=None)
            if best is not None and not best.lesser and best.cost[1] <= SMALL_PRICE:
                return best
        if not cleared_by_any:
            self._hopeless.add(_said(finding))
        return min(found, key=lambda a: a.cost, default=None)

    def _rungs(self, draft: Draft, finding: Finding, ladder: Ladder, heirs: Heirs) -> Iterator[Step]:
        """Rungs that clear the finding by its own rule, the smallest first."""
        rungs = ladder.rungs
        like: list[Study] = []
        start = 0
        if ladder.rising and len(rungs) > 2:
            low, high = 0, len(rungs)
            while low < high:
                middle = (low + high) // 2
                if self._clears(draft, finding, rungs[middle], heirs, like):
                    high = middle
                else:
                    low = middle + 1
            start = low
        given = 0
        for step in rungs[start:]:
            if given >= MOST_SETTLED:
                return
            if self._clears(draft, finding, step, heirs, like if ladder.alike else []):
                given += 1
                yield step

    def _clears(self, draft: Draft, finding: Finding, step: Step, heirs: Heirs, like: list[Study]) -> bool:
        """Whether a step clears the finding by its own rule. `like` holds the study of a rung of the same wires, once there is one."""
        text = self.trials.edited(draft.text, step.changes)
        near = draft.study if _same_wires(step.changes) else next(iter(like), None)
        study = self.trials.quick(text, near) if text is not None else None
        if study is not None and not like:
            like.append(study)
        return study is not None and cleared(
            finding, draft.findings, self.trials.judged(study, (finding.rule,)), _with(heirs, step.changes)
        )

    def _settled(self, draft: Draft, finding: Finding, step: Step, heirs: Heirs, depth: int) -> Answer | None:
        """The step judged by every rule; what it brings about is answered too, or it is not taken."""
        text = self.trials.edited(draft.text, step.changes)
        study = self.trials.read(text) if text is not None else None
        if text is None or study is None or self._overloads(draft.study, study, step.changes):
            return None
        after = self._judged(draft, text, step, depth)
        heirs = _with(heirs, step.changes)
        if after is None or refused(draft, after, step.changes, heirs):
            return None
        if _blind(after, step.changes) or not self._by_itself(draft, after, finding, step, heirs):
            return None
        changes = [Proposed(c, finding) for c in step.changes]
        for _ in range(MOST_HEALED):
            fresh = new_dangers(draft, after, heirs)
            if not fresh:
                if depth or after.exact:
                    break
                after = self.trials.draft(after.text)
                if after is None:
                    return None
                continue
            if depth >= DEEPEST or any(f.rule not in ANSWERS for f in fresh):
                return None
            healed = self.answer(after, fresh[0], heirs, depth + 1)
            if healed is None:
                return None
            after = healed.draft
            heirs = _with(heirs, tuple(p.change for p in healed.changes))
            for p in healed.changes:
                changes = merged(changes, p, self.shop.bought)
        if depth == 0:
            after, changes, heirs = self._lesser_healed(draft, after, changes, heirs)
        all_changes = tuple(p.change for p in changes)
        if new_dangers(draft, after, heirs) or weight(after.findings) >= weight(draft.findings):
            return None
        if not cleared(finding, draft.findings, after.findings, heirs) or refused(
            draft, after, all_changes, heirs
        ):
            return None
        if self._overloads(draft.study, after.study, all_changes):
            return None
        return Answer(tuple(changes), after, len(fresh_lesser(draft.findings, after.findings, heirs)))

    def _judged(self, draft: Draft, text: str, step: Step, depth: int) -> Draft | None:
        """The draft that a step leads to. A step within an answer that leaves the wires alone is glanced at: the whole is judged after it."""
        return (
            self.trials.glance(text, draft.study)
            if depth and _same_wires(step.changes)
            else self.trials.draft(text)
        )

    def _by_itself(self, draft: Draft, after: Draft, finding: Finding, step: Step, heirs: Heirs) -> bool:
        """Whether a swap clears its finding with the old settings kept too, and empties none that fails as a danger into a pass."""
        if not emptied(step.changes):
            return True
        text = self.trials.edited(draft.text, as_set(step.changes))
        kept = self.trials.draft(text) if text is not None else None
        return (
            kept is not None
            and cleared(finding, draft.findings, kept.findings, heirs)
            and not settled_by_emptying(kept, after, heirs)
        )

    def _lesser_healed(
        self, draft: Draft, after: Draft, changes: list[Proposed], heirs: Heirs
    ) -> tuple[Draft, list[Proposed], Heirs]:
        """Lesser findings that a step brings about are answered where they can be."""
        brought = [f for f in fresh_lesser(draft.findings, after.findings, heirs) if f.rule in BY_CABLE]
        for finding in brought[:MOST_HEALED]:
            if not any(
                f.rule == finding.rule and f.subject == finding.subject and is_open(f) for f in after.findings
            ):
                continue
            healed = self.answer(after, finding, heirs, DEEPEST)
            if healed is not None:
                after = healed.draft
                heirs = _with(heirs, tuple(p.change for p in healed.changes))
                for p in healed.changes:
                    changes = merged(changes, p, self.shop.bought)
        return after, changes, heirs

    def _overloads(self, before: Study, after: Study, changes: tuple[Change, ...]) -> bool:
        """Whether a part that was touched carries more than its rating in a solved case, and more than it did."""
        touched = {t for c in changes for t in c.touches}
        now = loaded(after, touched)
        over = {p for p, ratio in now.items() if ratio > 1 + 1e-6}
        if not over:
            return False
        was = loaded(before, over)
        return any(now[p] > was.get(p, 0.0) * (1 + 1e-6) for p in over)

    def _drop(self) -> bool:
        """Take back every change without which nothing comes back."""
        dropped = False
        for p in list(reversed(self.taken)):
            rest = [q for q in self.taken if q is not p]
            near = self._taken_back(p)
            if near is not None and self._comes_back(near, p, rest):
                continue
            text = self.trials.edited(self.root.text, [q.change for q in rest])
            if text is None or self._comes_back(text, p, rest):
                continue
            draft = self.trials.draft(text)
            whole = self._whole(p)
            if draft is None or weight(draft.findings) > weight(whole.findings):
                continue
            heirs = {a: b for q in rest for a, b in q.change.heirs}
            if new_dangers(whole, draft, heirs) or refused(self.root, draft, (), heirs):
                continue
            if self._overloads(self.draft.study, draft.study, tuple(q.change for q in self.taken)):
                continue
            self.taken, self.draft = rest, draft
            dropped = True
        return dropped

    def _taken_back(self, p: Proposed) -> str | None:
        """The text with the lines of one change as they were before it: a first look, before all the others are done again."""
        place = self.taken.index(p)
        before = self.trials.edited(self.root.text, [q.change for q in self.taken[:place]])
        after = self.trials.edited(before, [p.change]) if before is not None else None
        return undone(self.draft.text, before, after) if before is not None and after is not None else None

    def _whole(self, p: Proposed) -> Draft:
        """What a change is measured against: a swap that emptied settings is not needed for that alone."""
        if not emptied((p.change,)):
            return self.draft
        changes = [c for q in self.taken for c in (as_set((q.change,)) if q is p else (q.change,))]
        text = self.trials.edited(self.root.text, changes)
        return (self.trials.draft(text) if text is not None else None) or self.draft

    def _comes_back(self, text: str, p: Proposed, rest: list[Proposed]) -> bool:
        """Whether the rule that a change answers finds more without it."""
        study = self.trials.read(text)
        if study is None:
            return True
        heirs = {a: b for q in rest for a, b in q.change.heirs}
        return cleared(
            p.why, self.trials.judged(study, (p.why.rule,)), self.draft.findings, self.heirs | heirs
        )


def _within(ladder: Ladder, found: list[Answer]) -> Ladder:
    """The ladder without what costs more by itself than an answer that brings nothing about."""
    best = min((a.cost[1] for a in found if not a.lesser), default=None)
    if best is None:
        return ladder
    return replace(ladder, rungs=tuple(s for s in ladder.rungs if s.price is not None and s.price <= best))


def _same_wires(changes: tuple[Change, ...]) -> bool:
    return all(c.sort in ("cable", "device") for c in changes)


def _blind(after: Draft, changes: tuple[Change, ...]) -> bool:
    """A new device of which nobody can say that it breaks the fault, though the shelf has a stronger one."""
    new = {t for c in changes if c.sort == "new device" and not c.strongest for t in c.touches}
    return any(f.subject in new and f.rule in PLATED and f.verdict == "cannot-tell" for f in after.findings)


def fresh_lesser(before: tuple[Finding, ...], after: tuple[Finding, ...], heirs: Heirs) -> list[Finding]:
    """Findings that fail now and did not before."""
    was = {key(f, heirs) for f in before if is_open(f)}
    return [f for f in after if is_open(f) and key(f, heirs) not in was]


def _with(heirs: Heirs, changes: tuple[Change, ...]) -> Mapping[str, str]:
    return {**heirs, **{a: b for c in changes for a, b in c.heirs}}


def cleared(finding: Finding, before: tuple[Finding, ...], after: tuple[Finding, ...], heirs: Heirs) -> bool:
    """Fewer findings of that rule about that subject, and none of them turned into one that cannot be told."""
    about = (finding.rule, base(finding.subject, heirs))

    def count(findings: tuple[Finding, ...], verdict: str) -> int:
        return sum(f.verdict == verdict and (f.rule, base(f.subject, heirs)) == about for f in findings)

    if finding.verdict == "cannot-tell":
        return count(after, "cannot-tell") < count(before, "cannot-tell") and count(after, "fail") <= count(
            before, "fail"
        )
    return count(after, "fail") < count(before, "fail") and count(after, "cannot-tell") <= count(
        before, "cannot-tell"
    )


#: Sorts of change of which a second one on the same line takes the place of the first.
REPLACING = ("cable", "setting", "length")
SAME_LINE = (*REPLACING, "device", "part")
#: What is new, and then becomes larger or another one: one thing to buy, in its last shape.
AFTER_NEW = (("new device", "device"), ("new run", "cable"))


def merged(taken: list[Proposed], new: Proposed, bought: bool) -> list[Proposed]:
    """The list with one more change; a second change of the same line becomes one with the first.

    Where what stands there was `bought`, each of them was priced whole, and the last is the one that is bought.
    """
    for n, old in enumerate(taken):
        a, b = old.change, new.change
        first = (a.sort, b.sort) in AFTER_NEW
        if a.address != b.address or not (first or (a.sort == b.sort and b.sort in SAME_LINE)):
            continue
        one = replace(
            b, sort=a.sort, was=a.was, edits=b.edits if b.sort in REPLACING and not first else (*a.edits, *b.edits), price=b.price if bought else _together(a, b),
            becomes=a.becomes.replace(b.was, b.becomes) if first else b.becomes, lines=max(a.lines, b.lines), heirs=(*a.heirs, *b.heirs),
            by_hand=a.by_hand or b.by_hand, licensed=a.licensed or b.licensed, touches=tuple(dict.fromkeys((*a.touches, *b.touches))),
        )  # fmt: skip
        return [*taken[:n], *taken[n + 1 :], Proposed(one, old.why)]
    return [*taken, new]


def _together(a: Change, b: Change) -> Decimal | None:
    """The price of two changes of one line; None where one is not known."""
    return None if a.price is None or b.price is None else a.price + b.price
