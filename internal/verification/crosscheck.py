"""Compares `newel compute` with SciPy, scikit-learn and NumPy on random inputs.

    crosscheck.py NEWEL REPORT

Inputs are drawn from a fixed seed. Exit status 1 if anything differs by more than its tolerance.
"""

import datetime
import itertools
import json
import math
import pathlib
import platform
import random
import subprocess
import sys

import numpy
import scipy
import sklearn
from scipy import stats
from sklearn.metrics import accuracy_score, cohen_kappa_score, jaccard_score

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
    for i in range(1000):
        days = sorted(draw.sample(range(1, 90), draw.randint(2, 30)))
        counts = [round(draw.uniform(0.1, 60), 1) for _ in days]
        if i % 2:
            counts[draw.randrange(len(counts))] = 0
        slope = stats.linregress(days, numpy.log10([c or 0.05 for c in counts])).slope
        want = {"per_week": 10 ** (7 * slope)}
        if abs(slope) > 1e-6:  # nearer to none, which way it goes is rounding
            want["days_to_double"] = math.log10(2) / slope if slope > 0 else None
        yield {"days": days, "counts_per_minute": counts, "floor": 0.05}, want


def overlap():
    for i in range(1000):
        a, b = (numpy.array(series(draw.randint(1, 25), i % 2 == 0)) for _ in range(2))
        up = draw.random() < 0.5
        x, y = (a, b) if up else (-a, -b)
        m, n = len(a), len(b)
        pairs = numpy.sign(numpy.subtract.outer(y, x))
        own = sum(numpy.sign(x[j] - x[k]) for j in range(m) for k in range(j))
        # The fewest values to remove, as a cut between the phases.
        cuts = numpy.unique(numpy.concatenate([x, y, [numpy.inf]]))
        removed = min(m, n, min((x >= c).sum() + (y < c).sum() for c in cuts))
        yield (
            {"a": a.tolist(), "b": b.tolist(), "improvement": "up" if up else "down"},
            {
                "pnd": (y > x.max()).mean(),
                "pem": (1 + numpy.sign(y - numpy.median(x))).mean() / 2,
                "pand": 1 - removed / (m + n),
                "ird": 1 - (m + n) / (2 * m * n) * removed,
                "tau_u": (pairs.sum() - own) / (m * n),
            },
        )


def mann_kendall():
    for i in range(1000):
        y = series(draw.randint(3, 40), i % 2 == 0)
        n = len(y)
        s = round(stats.kendalltau(range(n), y, variant="c").statistic * n * n * (min(n, len(set(y))) - 1) / min(n, len(set(y))) / 2) if len(set(y)) > 1 else 0
        ties = numpy.unique(y, return_counts=True)[1]
        var = (n * (n - 1) * (2 * n + 5) - (ties * (ties - 1) * (2 * ties + 5)).sum()) / 18
        z = 0.0 if s == 0 or var == 0 else (s - numpy.sign(s)) / math.sqrt(var)
        yield {"y": y}, {"s": s, "var_s": var, "z": z, "p": 2 * stats.norm.sf(abs(z))}


def interval_agreement():
    for _ in range(1000):
        first = [draw.random() < 0.4 for _ in range(draw.randint(1, 60))]
        second = [m if draw.random() < 0.7 else draw.random() < 0.4 for m in first]
        jaccard = lambda mark: 100 * jaccard_score(first, second, pos_label=mark) if mark in first + second else None
        k = cohen_kappa_score(first, second) if len(set(first) | set(second)) > 1 else None
        yield (
            {"kind": "intervals", "first": first, "second": second},
            {"interval": 100 * accuracy_score(first, second), "scored": jaccard(True), "unscored": jaccard(False), "kappa": k},
        )


def preference():
    for _ in range(500):
        items = [f"item {i}" for i in range(draw.randint(2, 8))]
        choices = []
        for pair in itertools.combinations(items, 2):
            if draw.random() < 0.9:
                choices.append({"of": list(pair), "chosen": draw.choice([*pair, ""])})
        offered = [sum(item in c["of"] for c in choices) for item in items]
        if 0 in offered:
            continue
        share = numpy.array([sum(c["chosen"] == item for c in choices) / many for item, many in zip(items, offered)])
        ranks = stats.rankdata(-share.round(12), method="average")
        order = sorted(range(len(items)), key=lambda i: ranks[i])
        want = {}
        for place, i in enumerate(order):
            want[f"items.{place}.percent"], want[f"items.{place}.rank"] = 100 * share[i], ranks[i]
        yield {"kind": "paired", "items": items, "choices": choices}, want


def sampling():
    for i in range(1000):
        step = draw.randint(1, 20)
        length = step * draw.randint(1, 30)
        seconds, bouts = numpy.zeros(length, bool), []
        for _ in range(draw.randint(0, 8)):
            start, end = sorted(draw.choices(range(length + 1), k=2))
            bouts.append([start, end])
            seconds[start:end] = True
        parts = seconds.reshape(-1, step)
        method = ("partial", "whole", "momentary")[i % 3]
        scored = {"partial": parts.any(axis=1), "whole": parts.all(axis=1), "momentary": parts[:, -1]}[method]
        yield (
            {"bouts": bouts, "length_s": length, "interval_s": step, "method": method},
            {"scored": scored.sum(), "of": len(parts), "percent": 100 * scored.mean(), "true_percent": 100 * seconds.mean()},
        )


def longest_run(values):
    return max(len(list(run)) for _, run in itertools.groupby(values))


# Orders short enough to list: targets, trials, most in a row. How often each is drawn is tested by chi-square.
UNIFORM = [(2, 6, 2), (3, 6, 2), (2, 8, 2), (3, 7, 2), (4, 6, 1)]


def orders(binary):
    """Draws of rotations: constraints, and whether all valid orders are equally likely."""
    rows, failed = [], False
    for targets, trials, most in UNIFORM:
        names = [f"t{i}" for i in range(targets)]
        even = lambda o: max(map(o.count, names)) - min(map(o.count, names)) <= 1
        valid = {o: 0 for o in itertools.product(names, repeat=trials) if even(o) and longest_run(o) <= most}
        draws = 60 * len(valid)
        questions = [{"targets": names, "trials": trials, "rule": "rotation", "max_same": most, "seed": i} for i in range(draws)]
        invalid = 0
        for answer in newel(binary, "order", questions):
            order = tuple(t["target"] for t in answer["trials"])
            if order in valid:
                valid[order] += 1
            else:
                invalid += 1
        p = stats.chisquare(list(valid.values())).pvalue
        ok = invalid == 0 and p > 0.001
        failed = failed or not ok
        print(f"{'ok  ' if ok else 'FAIL'} orders of {targets} targets in {trials} trials: {draws} draws, {invalid} invalid, p {p:.3f}")
        rows.append(f"| {targets} | {trials} | {most} | {len(valid)} | {draws} | {invalid} | {p:.3f} | {'yes' if ok else '**no**'} |")
    bad = mixed = 0
    for answer, q in zip(*placed(binary)):
        mixed += 1
        places = [t["position"] for t in answer["trials"]]
        spread = lambda v, of: max(map(v.count, of)) - min(map(v.count, of)) <= 1
        at = range(1, q["positions"] + 1)
        ok = spread(places, at) and longest_run(places) <= 2
        for name in q["targets"]:
            ok = ok and spread([t["position"] for t in answer["trials"] if t["target"] == name], at)
        known = [t["target"] in q["known"] for t in answer["trials"]]
        ok = ok and sum(known) == (2 * q["known_share"] * q["trials"] + 100) // 200
        bad += not ok
    print(f"{'ok  ' if bad == 0 else 'FAIL'} orders with positions and known targets: {mixed} inputs, {bad} break a rule")
    return rows, mixed, bad, failed or bad > 0


def placed(binary):
    questions = []
    for i in range(1000):
        questions.append({
            "targets": [f"t{k}" for k in range(draw.randint(2, 5))], "known": [f"k{k}" for k in range(draw.randint(2, 5))],
            "known_share": draw.choice([20, 25, 40, 50]), "trials": draw.randint(8, 40), "rule": "rotation", "positions": draw.randint(2, 5), "seed": i,
        })
    return newel(binary, "order", questions), questions


def recomputed():
    """What independent.py says of the tables of verification.md."""
    done = subprocess.run([sys.executable, str(pathlib.Path(__file__).parent / "independent.py")], capture_output=True, text=True)
    lines = done.stdout.splitlines() or [done.stderr]
    print(lines[-1])
    return lines[-1], done.returncode != 0


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
    ("PND, PEM, PAND, IRD, Tau-U", "effect", overlap, "the definitions on arrays, with NumPy", 1e-12),
    ("Mann–Kendall S, variance, z, p", "trend", mann_kendall, "scipy.stats.kendalltau(variant='c'), norm.sf", 1e-9),
    ("agreement on intervals", "agreement", interval_agreement, "sklearn.metrics: accuracy, Jaccard, κ", 1e-12),
    ("paired preference: percent, rank", "preference", preference, "scipy.stats.rankdata", 1e-12),
    ("time sampling", "sampling", sampling, "numpy, second by second", 1e-12),
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
    order_rows, mixed, bad, order_failed = orders(binary)
    summary, recomputation_failed = recomputed()
    failed = failed or order_failed or recomputation_failed
    versions = f"SciPy {scipy.__version__}, NumPy {numpy.__version__}, scikit-learn {sklearn.__version__}, Python {platform.python_version()}"
    with open(report, "w", encoding="utf-8") as out:
        out.write(
            "# Newel compared with other programs\n\n"
            "`make crosscheck` writes this page. It is not part of the tests, because it needs SciPy and scikit-learn. It installs them from the system's packages where it may. "
            "Random inputs from a fixed seed go through `newel compute KIND --lines` and through the other program. Differences are relative where a value is more than 1.\n\n"
            f"Last run: {datetime.date.today().isoformat()}, {versions}, seed {SEED}.\n\n"
            "| what | kind | inputs | values | compared with | largest difference | allowed | same |\n| --- | --- | --- | --- | --- | --- | --- | --- |\n"
            + "\n".join(rows)
            + "\n\n## Orders of trials\n\n"
            "All valid orders of a short rotation are listed, and one is drawn for each seed from 0 on. Every draw must be one of them, and all must be equally likely: "
            "scipy.stats.chisquare must give a p of more than .001.\n\n"
            "| targets | trials | most in a row | valid orders | draws | invalid | p | even |\n| --- | --- | --- | --- | --- | --- | --- | --- |\n"
            + "\n".join(order_rows)
            + f"\n\nOf {mixed} rotations with known targets and positions, {bad} break a rule: the known share, positions equally often over all trials and for each target, no position more than twice in a row."
            "\n\n## The tables of verification.md\n\n"
            f"Python's fractions and enumeration, by `internal/verification/independent.py`: {summary}.\n"
        )
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main(*sys.argv[1:])
