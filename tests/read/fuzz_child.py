"""One process that reads COUNT hostile cases of one KIND and prints what it took. Run by test_fuzz.py."""

import random
import resource
import sys
import time
from pathlib import Path

from guide.errors import GuideError
from guide.plan.make import make_plan
from guide.read.formula import FormulaError, compile_formula
from guide.read.places import read_stages, shipped_stages
from guide.read.project import read_project
from guide.read.template import TemplateProblem, check_texts, ready, render

MB = 1 << 20
resource.setrlimit(resource.RLIMIT_AS, (1024 * MB, 1024 * MB))

STAGES = {
    path.stem: (f"workflows/{path.name}", path.read_text(encoding="utf-8")) for path in shipped_stages().glob("*.yaml")
}
LANGUAGE = read_stages(STAGES)[0]
PROJECT = open("tests/bad/good.yaml", encoding="utf-8").read()  # noqa: SIM115 - a child that ends
SCRAPS = [
    "{", "}", "[", "]", ":", "- ", "\n", "  ", "\t", "#", "'", '"', "|", ">", "*a", "&a ", "!!x ", "<<: ", "%", "@",
    "\x1b[31m", "\x00", "\u202e", "\u2028", "½", "€", "1e300", "-1", "0", "99999999999999999999", "1e999", "5", "5 in",
    "1/0 in", "null", "true", "~", "3,5 cm", "9**9**9", "{{ x }}", "{% for a in b %}", ".inf", "0x10", "012", "1:30",
    "'a' * 999999999", "blocks", "square", "\\", "()", "lambda: 0", "__import__('os')", "none", "\ud800", "𝒙", "²",
]  # fmt: skip
ATOMS = [
    "1",
    "2.5",
    "0",
    "1e15",
    "square",
    "seam",
    "blocks",
    "kind",
    "none",
    "mm",
    "'zip'",
    "nosuch",
    "9" * 40,
    "²",
    "x",
]
SIGNS = [
    "+",
    "-",
    "*",
    "/",
    "//",
    "%",
    "**",
    "<",
    "==",
    "!=",
    "and",
    "or",
    "if",
    "else",
    ",",
    ".",
    ":=",
    "=",
    "in",
    "~",
]


def mutated(text: str, rng: random.Random) -> str:
    """Change a text a few times: bytes, lines, scraps."""
    for _ in range(rng.choice([1, 1, 2, 4])):
        at, lines = rng.randrange(len(text) + 1), text.split("\n")
        way, i, j = rng.randrange(7), rng.randrange(len(lines)), rng.randrange(len(lines))
        if way == 0:
            text = text[:at] + rng.choice(SCRAPS) + text[at + rng.randint(0, 4) :]
        elif way == 1:
            text = text[:at] + text[at + rng.randint(1, 9) :]
        elif way == 2:
            text = "\n".join([*lines[:i], *lines[i + 1 :]])
        elif way == 3:
            text = "\n".join([*lines[:i], lines[j], *lines[i:]])
        elif way == 4 and ": " in lines[i]:
            lines[i] = f"{lines[i].split(': ')[0]}: {rng.choice(SCRAPS)}"
            text = "\n".join(lines)
        elif way == 5:
            text = text[:at] + chr(rng.choice([rng.randrange(32), rng.randrange(0x3000), 0xFEFF])) + text[at:]
        else:
            digits = [k for k, c in enumerate(text) if c.isdigit()]
            if digits:
                k = rng.choice(digits)
                text = text[:k] + str(rng.choice([0, 7, 99, 500, 10**6, 10**15])) + text[k + 1 :]
    return text


def project(rng: random.Random) -> bool:
    read, loaded = read_project(mutated(PROJECT, rng), "project.yaml", LANGUAGE.stages)
    wrong = [p for p in loaded.problems if not p.hint]
    assert bool(wrong) == (read is None)
    assert all("\n" not in str(p) for p in wrong)
    if read is not None and read.across * read.down * read.make <= 60:  # larger ones are timed by the bench
        try:
            make_plan(read, LANGUAGE)
        except GuideError as error:
            assert str(error)
    return read is not None


def stage(rng: random.Random) -> bool:
    name = rng.choice(["quilt", "wash", "stack"])
    file, text = STAGES[name]
    language, problems, _ = read_stages({**(STAGES if rng.random() < 0.1 else {}), name: (file, mutated(text, rng))})
    if language is not None:
        problems = [*problems, *check_texts(language)]
    assert language is not None or problems
    assert all("\n" not in str(p) for p in problems)
    return language is not None


def grown(rng: random.Random, depth: int) -> str:
    """A formula that can be read, most times: what it means may still be nonsense."""
    if depth == 0 or rng.random() < 0.2:
        return rng.choice(ATOMS)
    one, two = grown(rng, depth - 1), grown(rng, depth - 1)
    way = rng.randrange(8)
    if way < 4:
        return f"({one} {rng.choice(SIGNS[:10])} {two})"
    if way == 4:
        return f"{rng.choice(['min', 'max', 'ceil', 'floor', 'round', 'sqrt', 'abs', 'open'])}({one})"
    return rng.choice(
        [f"max({one}, {two})", f"-{one}", f"({one} if {two} > {one} else {two})", f"{one} ** {rng.randrange(6)}"]
    )


def formula(rng: random.Random) -> bool:
    text = " ".join(
        rng.choice(rng.choice([ATOMS, ATOMS, SIGNS, ["(", ")", "min(", "ceil(", "sqrt("]]))
        for _ in range(rng.choice([1, 2, 3, 3, 5, 5, 7, 20, 200]))
    )
    text = rng.choice(
        [text, grown(rng, 3), grown(rng, 5), "(" * rng.randint(1, 600) + text, "-" * rng.randint(1, 400) + text]
    )
    try:
        value = compile_formula(text).run(
            dict.fromkeys(["square", "seam", "blocks", "nosuch", "x"], 2.0) | {"kind": "throw"}
        )
    except FormulaError as error:
        assert error.message
        assert "\n" not in error.message
        return False
    return value is None or isinstance(value, float | bool | str)


def template(rng: random.Random) -> bool:
    inside = " ".join(
        rng.choice(ATOMS + SIGNS + ["|upper", "range(9)", ".__class__", "[0]"]) for _ in range(rng.randint(1, 6))
    )
    text = rng.choice(
        [f"Sew {{{{ {inside} }}}}.", f"{{% if {inside} %}}yes{{% endif %}}", mutated(f"Cut {{{{ {inside} }}}}", rng)]
    )
    try:
        ready(text)
        out = render(
            text, dict.fromkeys(["square", "seam", "mm", "none", "x"], "5 in") | {"blocks": 9.0, "kind": "throw"}
        )
    except TemplateProblem as error:
        assert str(error)
        return False
    return len(out) <= 4000


def peak_mb() -> float:
    """This process's own peak, MB: getrusage would still count the parent it was forked from."""
    status = Path("/proc/self/status")
    if status.is_file():
        line = next(line for line in status.read_text(encoding="utf-8").split("\n") if line.startswith("VmHWM"))
        return int(line.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main(kind: str, count: int) -> None:
    rng = random.Random(f"{kind} 2026")
    values = slowest = 0.0
    for case in range(count):
        began, before = time.process_time(), rng.getstate()
        try:
            values += {"project": project, "stage": stage, "formula": formula, "template": template}[kind](rng)
        except BaseException:
            print(f"case {case} of {kind}; state hash {hash(before)}", file=sys.stderr)
            raise
        took = time.process_time() - began
        if took > slowest:
            slowest = took
            print(f"case {case} took {took:.3f} s")
    peak = peak_mb()
    print(f"cases={count} values={values} problems={count - values} slowest_s={slowest:.3f} peak_mb={peak:.0f}")


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
