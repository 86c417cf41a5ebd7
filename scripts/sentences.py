"""Gather every sentence that papers take from lower floors, as templates: what stands in braces is a value.

Written into src/ohmwright/papers/words/sentences.yaml by scripts/catalogues.py.  A language answers them one by one.

.venv/bin/python scripts/sentences.py nb      write or complete src/ohmwright/papers/words/nb.yaml, English where nothing is translated yet
"""

import ast
import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path

from ohmwright.checks.catalogue import catalogue
from ohmwright.papers.catalogue import words
from ohmwright.takeoff.practice import practice
from ohmwright.working import tree as t

SOURCE = Path(__file__).parents[1] / "src" / "ohmwright"
WORDS = SOURCE / "papers" / "words"
#: Whose sentences reach a paper.
FLOORS = (
    "change", "checks", "circuit", "drawing", "energy", "kinds", "proving", "roof", "sky", "study", "takeoff",
    "rig/questions.py", "services/check.py", "services/compare.py", "services/papers.py", "services/year.py", "services/year_shade.py", "working/figure.py", "working/step.py",
)  # fmt: skip
#: Calls whose texts are names of things, never read by a person.
KEYS = {
    "getattr",
    "hasattr",
    "isinstance",
    "open",
    "find",
    "figure",
    "of_kind",
    "word",
    "split",
    "get",
    "pick",
}
#: Files of marks and tables without a sentence.
DUMB_FILES = ("drawing/svg.py", "sky/places.py")
_WORD = re.compile(r"[A-Za-z]{2,}")
_TYPE = re.compile(r"\w+\[.*\]")


def sentences() -> dict[str, tuple[str, ...]]:
    """Templates by the file they stand in, each once."""
    seen: set[str] = set()
    out: dict[str, tuple[str, ...]] = {}
    titles = [line.title for line in catalogue().values()]
    goods = list(practice().goods.values())
    data = (
        ("between two", ["and", "or", "{0} all day"]),
        ("checks/catalogue.yaml", titles),
        ("takeoff/practice.yaml", goods),
    )
    for name, found in (*data, *_of_files()):
        new = tuple(
            dict.fromkeys(
                s for s in found if s not in seen and _WORD.search(_plain(s)) and not _TYPE.fullmatch(s)
            )
        )
        seen.update(new)
        if new:
            out[name] = new
    return out


def _of_files() -> Iterator[tuple[str, list[str]]]:
    for floor in FLOORS:
        top = SOURCE / floor
        for path in [top] if top.is_file() else sorted(top.rglob("*.py")):
            name = path.relative_to(SOURCE).as_posix()
            if name not in DUMB_FILES:
                yield name, list(_of_text(path.read_text(encoding="utf-8")))


def _plain(template: str) -> str:
    return re.sub(r"\{\d+\}", "", template)


def _of_text(text: str) -> Iterator[str]:
    """Every text of a module that a person may read: f-strings, texts of more than a word, words that a sentence chooses from."""
    module = ast.parse(text)
    dumb = {id(n) for n in _dumb(module)}
    for node in ast.walk(module):
        if id(node) in dumb:
            continue
        if isinstance(node, ast.JoinedStr):
            yield _template(node)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value.strip():
            yield " ".join(node.value.split()) if "\n" in node.value else _escaped(node.value)
        elif isinstance(node, ast.IfExp):
            yield from (_escaped(w) for w in _branches(node))


def _branches(node: ast.IfExp) -> Iterator[str]:
    """The bare words that an "if" chooses from."""
    for branch in (node.body, node.orelse):
        if isinstance(branch, ast.Constant) and isinstance(branch.value, str) and branch.value.strip():
            yield branch.value


def _dumb(module: ast.Module) -> Iterator[ast.AST]:
    """What is no text for people: docstrings, pieces of f-strings, annotations, texts of calls that look a name up."""
    for node in ast.walk(module):
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef):
            for n in node.body:
                if isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant):
                    yield n.value
        if isinstance(node, ast.JoinedStr):
            yield from (v for v in node.values if isinstance(v, ast.Constant))
            for v in node.values:
                if isinstance(v, ast.FormattedValue) and v.format_spec is not None:
                    yield from ast.walk(v.format_spec)
        if isinstance(node, ast.AnnAssign | ast.arg) and node.annotation is not None:
            yield from ast.walk(node.annotation)
        if isinstance(node, ast.Call) and _called(node) in KEYS:
            yield from (a for a in node.args if isinstance(a, ast.Constant))


def _called(node: ast.Call) -> str:
    f = node.func
    return f.attr if isinstance(f, ast.Attribute) else f.id if isinstance(f, ast.Name) else ""


def _escaped(text: str) -> str:
    return text.replace("{", "{{").replace("}", "}}")


def _template(node: ast.JoinedStr) -> str:
    out, n = [], 0
    for v in node.values:
        if isinstance(v, ast.Constant):
            out.append(_escaped(str(v.value)))
        else:
            out.append(f"{{{n}}}")
            n += 1
    return "".join(out)


def sentences_page() -> str:
    """The catalogue as a file."""
    lines = [
        "# Every sentence that papers take from lower floors.  Written by scripts/catalogues.py: do not edit.",
        "# A language's file answers each under `sentences:`, with the same numbers in braces, in any order.",
        "sentences: 1",
        "templates:",
    ]
    for name, found in sentences().items():
        lines += [f"  # {name}", *(f"  - {json.dumps(s, ensure_ascii=False)}" for s in found)]
    return "\n".join(lines) + "\n"


def skeleton(language: str) -> str:
    """A language's file: what it has already, English where it has nothing."""
    path = WORDS / f"{language}.yaml"
    english = (WORDS / "en.yaml").read_text(encoding="utf-8")
    old = words(language) if path.exists() else None
    head = (
        path.read_text(encoding="utf-8").partition("\nsentences:\n")[0] if path.exists() else english.rstrip()
    )
    lines = [head, "", "sentences:"]
    for name, found in sentences().items():
        lines.append(f"  # {name}")
        for s in found:
            told = json.dumps(s, ensure_ascii=False)
            new = json.dumps(old.sentences.get(s, s), ensure_ascii=False) if old else told
            lines.append(f"  - [{told}, {new}]")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    for asked in sys.argv[1:]:
        (WORDS / f"{asked}.yaml").write_text(skeleton(asked), encoding="utf-8")
        assert isinstance(
            t.read_tree((WORDS / f"{asked}.yaml").read_text(encoding="utf-8"), asked), t.Mapping
        )
