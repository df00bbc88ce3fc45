"""Compares `newel compute` with SciPy, scikit-learn and NumPy on random inputs.

    crosscheck.py NEWEL REPORT

Inputs are drawn from a fixed seed. Exit status 1 if anything differs by more than its tolerance.
"""

import datetime
import itertools
import json
import math
import platform
import random
import subprocess
import sys

import numpy
import scipy
import sklearn
from scipy import stats
from sklearn.metrics import cohen_kappa_score

SEED = 20260
draw = random.Random(SEED)


def newel(binary, kind, questions):
    lines = "".join(json.dumps(q) + "\n" for q in questions)
    done = subprocess.run([binary, "compute", kind, "--lines"], input=lines, capture_output=True, text=True)
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    if done.returncode != 0 or len(answers) != len(questions):
        bad = [a["error"] for a in answers if "error" in a][:3]
        sys.exit(f"newel compute {kind}: exit status {done.returncode} {done.stderr} {bad}")
    return answers


def series(n, ties):
    """Percentages: many ties, or hundredths with few."""
    if ties:
        return [draw.randrange(0, 101, 10) for _ in range(n)]
    return [round(draw.uniform(0, 100), 2) for _ in range(n)]


def wilson():
    for _ in range(2000):
        n = draw.randint(1, 400)
        x = draw.choice([0, n, draw.randint(0, n)])
        trials = [{"outcome": "correct"}] * x + [{"outcome": "incorrect"}] * (n - x)
        session = {"id": "s", "started_at": "2026-03-01T09:00:00Z", "ended_at": "2026-03-01T09:10:00Z", "trials": trials}
        ci = stats.binomtest(x, n).proportion_ci(method="wilson")
        yield (
            {"as_of": "2026-03-02T00:00:00Z", "time_zone": "UTC", "criterion": "3x100%", "sessions": [session]},
            {"estimate.low": 100 * ci.low, "estimate.high": 100 * ci.high},
        )


def effect():
    for i in range(2000):
        ties = i % 2 == 0
        a, b = series(draw.randint(1, 25), ties), series(draw.randint(1, 25), ties)
        up = draw.random() < 0.5
        u = stats.mannwhitneyu(b, a).statistic if up else stats.mannwhitneyu(a, b).statistic
        nap = u / (len(a) * len(b))
        yield {"a": a, "b": b, "improvement": "up" if up else "down"}, {"nap": nap, "tau": 2 * nap - 1}


def log_ratio():
    for _ in range(1000):
        a, b = series(draw.randint(2, 20), False), series(draw.randint(2, 20), False)
        relative = [numpy.var(v, ddof=1) / (len(v) * numpy.mean(v) ** 2) for v in (a, b)]
        value = math.log(numpy.mean(b) / numpy.mean(a))
        yield (
            {"a": a, "b": b, "improvement": "up"},
            {
                "log_response_ratio.value": value,
                "log_response_ratio.corrected": value + (relative[1] - relative[0]) / 2,
                "log_response_ratio.se": math.sqrt(sum(relative)),
            },
        )


def places(n):
    return list(range(1, n + 1)) if draw.random() < 0.5 else sorted(draw.sample(range(1, 200), n))


def tau():
    for i in range(2000):
        y = series(draw.randint(2, 40), i % 2 == 0)
        x = places(len(y))
        t = stats.kendalltau(x, y, variant="b").statistic
        yield {"y": y, "x": x}, {"tau_b": None if math.isnan(t) else t}


def exact_p():
    for _ in range(1000):
        n = draw.randint(2, 9)
        y = draw.sample(range(1000), n)  # no ties: there SciPy is exact as well
        yield {"y": y}, {"p_exact": stats.kendalltau(range(n), y, method="exact").pvalue}


def exact_p_ties():
    for _ in range(60):
        n = draw.randint(2, 7)
        y = [draw.randint(1, 4) for _ in range(n)]
        s = lambda v: abs(sum(numpy.sign(v[j] - v[i]) for j in range(n) for i in range(j)))
        orders = [s(order) for order in itertools.permutations(y)]
        yield {"y": y}, {"p_exact": sum(o >= s(y) for o in orders) / len(orders)}


def lines():
    for i in range(2000):
        y = series(draw.randint(2, 40), i % 2 == 0)
        x = places(len(y))
        sen = stats.theilslopes(y, x, method="joint")
        ols = stats.linregress(x, y)
        yield (
            {"y": y, "x": x},
            {
                "theil_sen.slope": sen.slope,
                "theil_sen.intercept": sen.intercept,
                "least_squares.slope": ols.slope,
                "least_squares.intercept": ols.intercept,
                "least_squares.r": None if len(set(y)) == 1 else ols.rvalue,
            },
        )


def tails():
    for _ in range(2000):
        m, percent, p = draw.randint(1, 300), draw.randint(0, 100), round(draw.random(), 4)
        least = -(-percent * m // 100)
        yield (
            {"criterion": f"{percent}% in 1 session", "trials": m, "accuracy": [p], "sessions": []},
            {"rows.0.session": stats.binom.sf(least - 1, m, p)},
        )


def waiting(need, of, s, n):
    """The window as a chain over the last outcomes, by plain matrices: P(met within n), expected sessions."""
    states = list(itertools.product([0, 1], repeat=of - 1))
    index = {state: i for i, state in enumerate(states)}
    chain, met = numpy.zeros((len(states), len(states))), numpy.zeros(len(states))
    for state, i in index.items():
        for outcome, chance in ((1, s), (0, 1 - s)):
            window = state + (outcome,)
            if outcome and sum(window) >= need:
                met[i] += chance
            else:
                chain[i, index[window[1:]]] += chance
    start = numpy.zeros(len(states))
    start[index[(0,) * (of - 1)]] = 1
    within, at = 0.0, start
    for _ in range(n):
        within += at @ met
        at = at @ chain
    return within, start @ numpy.linalg.solve(numpy.eye(len(states)) - chain, numpy.ones(len(states)))


def windows():
    for _ in range(400):
        of = draw.randint(1, 7)
        need = draw.randint(1, of)
        m, p, n = draw.randint(1, 20), round(draw.uniform(0.5, 0.95), 3), draw.randint(1, 60)
        least = -(-80 * m // 100)
        s = stats.binom.sf(least - 1, m, p)
        words = f"80% in {need} sessions" if need == of else f"80% in {need} of the last {of} sessions"
        within, expected = waiting(need, of, s, n)
        want = {"rows.0.within.0": within}
        if expected < 1e6:  # beyond that solving the equations in floats is the less precise of the two
            want["rows.0.expected_sessions"] = expected
        yield {"criterion": words, "trials": m, "accuracy": [p], "sessions": [n]}, want


def kappa():
    for _ in range(2000):
        codes = "+-po"[: draw.randint(1, 4)]
        first = [draw.choice(codes) for _ in range(draw.randint(1, 60))]
        second = [c if draw.random() < 0.7 else draw.choice(codes) for c in first]
        k = cohen_kappa_score(first, second) if len(set(first) | set(second)) > 1 else None
        yield {"kind": "trials", "first": first, "second": second}, {"kappa": k}


def celeration():
    for _ in range(1000):
        days = sorted(draw.sample(range(1, 90), draw.randint(2, 30)))
        counts = [round(draw.uniform(0.1, 60), 1) for _ in days]
        slope = stats.linregress(days, numpy.log10(counts)).slope
        yield {"days": days, "counts_per_minute": counts}, {"per_week": 10 ** (7 * slope)}


# What is compared, with what, and by how much it may differ: relative to the value where that is more than 1.
CHECKS = [
    ("Wilson limits, percent", "evaluate", wilson, "scipy.stats.binomtest(…).proportion_ci(method='wilson')", 1e-9),
    ("NAP and tau", "effect", effect, "scipy.stats.mannwhitneyu: U ÷ mn", 1e-12),
    ("log response ratio", "effect", log_ratio, "numpy.mean, numpy.var", 1e-10),
    ("Kendall’s tau-b", "trend", tau, "scipy.stats.kendalltau", 1e-12),
    ("exact p of Kendall’s S, no ties", "trend", exact_p, "scipy.stats.kendalltau(method='exact')", 1e-12),
    ("exact p of Kendall’s S, ties", "trend", exact_p_ties, "every permutation, by itertools", 1e-12),
    ("Theil–Sen, least squares", "trend", lines, "scipy.stats.theilslopes(method='joint'), linregress", 1e-9),
    ("binomial tails", "odds", tails, "scipy.stats.binom.sf", 1e-11),
    ("windows: within, expected", "odds", windows, "a plain Markov chain with numpy.linalg.solve", 1e-8),
    ("Cohen’s κ", "agreement", kappa, "sklearn.metrics.cohen_kappa_score", 1e-12),
    ("celeration", "celeration", celeration, "scipy.stats.linregress on numpy.log10", 1e-9),
]


def at(answer, path):
    for step in path.split("."):
        if answer is None:
            return None
        answer = answer[int(step)] if isinstance(answer, list) else answer[step]
    return answer


def distance(got, want):
    if got is None or want is None:
        return 0.0 if got is want else math.inf
    return abs(got - want) / max(1.0, abs(want))


def main(binary, report):
    rows, failed = [], False
    for title, kind, make, other, tolerance in CHECKS:
        questions, wants = zip(*make())
        worst, which = 0.0, None
        values = 0
        for question, want, answer in zip(questions, wants, newel(binary, kind, questions)):
            for path, value in want.items():
                values += 1
                d = distance(at(answer, path), value)
                if d > worst or which is None:
                    worst, which = d, (path, at(answer, path), value, question)
        ok = worst <= tolerance
        failed = failed or not ok
        print(f"{'ok  ' if ok else 'FAIL'} {title}: {len(questions)} inputs, {values} values, largest difference {worst:.2g}")
        if not ok:
            print("    ", which)
        rows.append(f"| {title} | `{kind}` | {len(questions)} | {values} | {other} | {worst:.1e} | {tolerance:.0e} | {'yes' if ok else '**no**'} |")
    versions = f"SciPy {scipy.__version__}, NumPy {numpy.__version__}, scikit-learn {sklearn.__version__}, Python {platform.python_version()}"
    with open(report, "w", encoding="utf-8") as out:
        out.write(
            "# Newel compared with other programs\n\n"
            "`make crosscheck` writes this page. It is not part of the tests, because it needs SciPy and scikit-learn. It installs them from the system's packages where it may. "
            "Random inputs from a fixed seed go through `newel compute KIND --lines` and through the other program. Differences are relative where a value is more than 1.\n\n"
            f"Last run: {datetime.date.today().isoformat()}, {versions}, seed {SEED}.\n\n"
            "| what | kind | inputs | values | compared with | largest difference | allowed | same |\n| --- | --- | --- | --- | --- | --- | --- | --- |\n"
            + "\n".join(rows) + "\n"
        )
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main(*sys.argv[1:])
