"""Recomputes the tables of docs/verification.md without Newel: by enumeration and in fractions.

    python3 internal/verification/independent.py [CLAIMS]

CLAIMS, by default testdata/claims.jsonl beside this file, has one row of a table a line. Every value whose table names
this script is recomputed here, and so is every other value that these formulas cover. Only the standard library is needed. Exit status 1 if a value differs from its table.
"""

import itertools
import json
import math
import pathlib
import re
import sys
from fractions import Fraction as F
from functools import lru_cache


def median(values):
    v = sorted(values)
    return (v[(len(v) - 1) // 2] + v[len(v) // 2]) / F(2)


def sign(n):
    return (n > 0) - (n < 0)


def kendall(y):
    return sum(sign(b - a) for a, b in itertools.combinations(y, 2))


def div(a, b):
    return None if b == 0 else F(a) / F(b)


# odds: the chain over the last outcomes, in fractions.


@lru_cache(None)
def chain(need, of):
    length = need if of == 0 else of
    start = (0,) * (length - 1)
    states, moves = [start], {}
    for state in states:  # grows while it is read
        for outcome in (0, 1):
            window = state + (outcome,)
            met = outcome and sum(window) >= need
            moves[state, outcome] = None if met else window[1:]
            if not met and window[1:] not in moves and window[1:] not in states:
                states.append(window[1:])
    return states, moves


def within(need, of, s, longest):
    states, moves = chain(need, of)
    now, out, met = {states[0]: F(1)}, [F(0)], F(0)
    for _ in range(longest):
        after = {}
        for state, mass in now.items():
            for outcome, chance in ((1, s), (0, 1 - s)):
                to = moves[state, outcome]
                if to is None:
                    met += mass * chance
                else:
                    after[to] = after.get(to, 0) + mass * chance
        now = after
        out.append(met)
    return out


def expected(need, of, s):
    if s == 0:
        return None
    states, moves = chain(need, of)
    if of == 0:  # the states are the runs so far: E(i) = 1 + s E(i+1) + (1-s) E(0), solved from the end
        a, b = F(1), 1 - s  # E(need-1) = a + b E(0)
        for _ in range(need - 1):
            a, b = 1 + s * a, s * b + 1 - s
        return a / (1 - b)
    index = {state: i for i, state in enumerate(states)}
    rows = []
    for state in states:
        row = [F(0)] * len(states) + [F(1)]
        row[index[state]] += 1
        for outcome, chance in ((1, s), (0, 1 - s)):
            to = moves[state, outcome]
            if to is not None:
                row[index[to]] -= chance
        rows.append(row)
    for i in range(len(rows) - 1, 0, -1):  # Gauss, from the last state to the first
        pivot = next(k for k in range(i, -1, -1) if rows[k][i])
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for k in range(i):
            if rows[k][i]:
                f = rows[k][i] / rows[i][i]
                rows[k] = [a - f * b for a, b in zip(rows[k], rows[i])]
    return rows[0][-1] / rows[0][0]


def odds(q):
    percent, need, of = re.match(r"(\d+)% in (\d+)(?: of the last (\d+))? sessions?( in a row)?$", q["criterion"]).groups()[:3]
    need, of, m = int(need), int(of or 0), q["trials"]
    rows = []
    for p in q["accuracy"]:
        s = sum(math.comb(m, k) * p**k * (1 - p) ** (m - k) for k in range(m + 1) if 100 * k >= int(percent) * m)
        met = within(need, of, s, max(q["sessions"], default=0))
        # Long fractions: the expectation of a chain of many states is solved to 40 digits.
        rows.append({"session": s, "within": [met[n] for n in q["sessions"]], "expected_sessions": expected(need, of, s)})
    return {"rows": rows}


# effect


def effect(q):
    a, b = q["a"], q["b"]
    raw_a, raw_b = a, b
    if q["improvement"] == "down":
        a, b = [-v for v in a], [-v for v in b]
    m, n = len(a), len(b)
    pairs = [sign(y - x) for x in a for y in b]
    better, tied, worse = (pairs.count(v) for v in (1, 0, -1))
    out = {"better": better, "tied": tied, "worse": worse}
    out["pnd"] = F(sum(v > max(a) for v in b), n)
    out["pem"] = F(sum(1 + sign(v - median(a)) for v in b), 2 * n)
    removed = min(sum(x >= border for x in a) + sum(y < border for y in b) for border in [*b, max(a + b) + 1])
    removed = min(removed, m, n)
    out["pand"] = 1 - F(removed, m + n)
    out["ird"] = 1 - F((m + n) ** 2, 2 * m * n) * (1 - out["pand"])
    nap = out["nap"] = F(2 * better + tied, 2 * m * n)
    out["tau"] = F(better - worse, m * n)
    out["tau_u"] = F(better - worse - kendall(a), m * n)
    slopes = [F(a[j] - a[i]) / (j - i) for i, j in itertools.combinations(range(m), 2)]
    slope = median(slopes) if slopes else None
    if slope is not None:
        rest = [v - slope * i for i, v in enumerate(a + b)]
        out["baseline_corrected_tau"] = F(sum(sign(y - x) for x in rest[:m] for y in rest[m:]), m * n)
    else:
        out["baseline_corrected_tau"] = None
    out["nap_low"], out["nap_high"] = low(nap, m, n), 1 - low(1 - nap, m, n)
    out["log_response_ratio"] = None
    mean = lambda v: F(sum(v)) / len(v)
    if m > 1 and n > 1 and mean(raw_a) > 0 and mean(raw_b) > 0:
        share = lambda v: sum((x - mean(v)) ** 2 for x in v) / (len(v) * (len(v) - 1)) / mean(v) ** 2
        value = math.log(mean(raw_b) / mean(raw_a))
        out["log_response_ratio"] = {"value": value, "corrected": value + float(share(raw_b) - share(raw_a)) / 2, "se": math.sqrt(share(raw_a) + share(raw_b))}
    return out


Z = F(1959963984540054, 10**15)


def low(nap, m, n):
    """Newcombe's method 5, its trivial roots divided out, by bisection in fractions."""
    if nap == 0:
        return F(0)
    h = F(m + n, 2) - 1

    def beyond(t):
        spread = Z * Z * t / (m * n) * (1 + h * ((1 - t) / (2 - t) + t / (1 + t)))
        return (1 - t) - spread if nap == 1 else (nap - t) ** 2 - (1 - t) * spread

    a, b = F(0), nap
    for _ in range(48):
        c = (a + b) / 2
        a, b = (c, b) if beyond(c) > 0 else (a, c)
    return a


# trend


def trend(q):
    y = q["y"]
    n = len(y)
    x = q.get("x") or [F(i + 1) for i in range(n)]
    s, groups = kendall(y), [y.count(v) for v in set(y)]
    var = F(n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in groups), 18)
    z = 0 if s == 0 or var == 0 else (s - sign(s)) / math.sqrt(var)
    pairs = n * (n - 1) // 2
    untied = pairs - sum(t * (t - 1) // 2 for t in groups)
    out = {"s": s, "var_s": var, "z": z, "p": math.erfc(abs(z) / math.sqrt(2)), "tau_a": div(s, pairs)}
    out["tau_b"] = s / math.sqrt(pairs * untied) if untied else None
    out["p_exact"] = None
    if 2 <= n <= 8:  # 9! orders take too long here; those rows are left to the other sources
        orders = list(itertools.permutations(y))
        out["p_exact"] = F(sum(abs(kendall(o)) >= abs(s) for o in orders), len(orders))
    elif n == 9:
        del out["p_exact"]
    line = lambda slope: {"slope": slope, "intercept": median([b - slope * a for a, b in zip(x, y)])}
    out["theil_sen"] = line(median([F(y[j] - y[i]) / (x[j] - x[i]) for i, j in itertools.combinations(range(n), 2)]))
    half = n // 2
    out["split_middle"] = line((median(y[n - half :]) - median(y[:half])) / (median(x[n - half :]) - median(x[:half])))
    mx, my = F(sum(x)) / n, F(sum(y)) / n
    xx, yy = sum((v - mx) ** 2 for v in x), sum((v - my) ** 2 for v in y)
    xy = sum((a - mx) * (b - my) for a, b in zip(x, y))
    out["least_squares"] = {"slope": xy / xx, "intercept": my - xy / xx * mx, "r": float(xy) / math.sqrt(xx * yy) if yy else None}
    mid = median(y)
    inside = sum(4 * abs(v - mid) <= abs(mid) for v in y)
    out["stability"] = {"median": mid, "inside": inside, "of": n, "stable": 5 * inside >= 4 * n}
    return out


# agreement, preference, sampling


def agreement(q):
    a, b = q["first"], q["second"]
    n = len(a)
    if n != len(b) or any(isinstance(v, dict) for v in a + b):
        return {}  # records that must be paired first
    ratio = lambda x, y: F(1) if x == y else F(min(x, y)) / max(x, y)
    mean = lambda v: 100 * sum(v) / F(len(v))
    same = sum(x == y for x, y in zip(a, b))
    seen = set(a) | set(b)
    chance = sum(F(a.count(c) * b.count(c), n * n) for c in seen)
    kappa = None if chance == 1 else (F(same, n) - chance) / (1 - chance)
    if q["kind"] == "counts":
        return {"total": 100 * ratio(sum(a), sum(b)), "mean_per_interval": mean(list(map(ratio, a, b))), "exact_per_interval": F(100 * same, n)}
    if q["kind"] == "durations":
        return {"total": 100 * ratio(sum(a), sum(b)), "mean_per_occurrence": mean(list(map(ratio, a, b)))}
    if q["kind"] == "trials":
        return {"trial": F(100 * same, n), "kappa": kappa}
    either = lambda value: sum(x == value or y == value for x, y in zip(a, b))
    both = lambda value: sum(x == value and y == value for x, y in zip(a, b))
    return {"interval": F(100 * same, n), "scored": div(100 * both(True), either(True)), "unscored": div(100 * both(False), either(False)), "kappa": kappa}


def preference(q):
    if q["kind"] == "free":
        rows = [(item, None, None, div(100 * s, q["observed_s"])) for item, s in q["engaged_s"].items()]
    else:
        trials = [(set(c["of"]), c["chosen"]) for c in q.get("choices", [])]
        for picks in q.get("sessions", []):
            trials += [(set(q["items"]) - set(picks[:i]), pick) for i, pick in enumerate(picks)]
        rows = []
        for item in q["items"]:
            offered, chosen = sum(item in of for of, _ in trials), sum(item == pick for _, pick in trials)
            rows.append((item, chosen, offered, div(100 * chosen, offered)))
    scores = [r[3] for r in rows]
    rank = lambda v: F(2 * sum(w > v for w in scores) + scores.count(v) + 1, 2)
    rows.sort(key=lambda r: -r[3])
    return {"items": [{"item": i, "chosen": c, "presented": o, "percent": p, "rank": rank(p)} for i, c, o, p in rows]}


def sampling(q):
    covered = {s for start, end in q["bouts"] for s in range(int(start), int(end))}
    length, step = int(q["length_s"]), int(q["interval_s"])
    parts = [range(i, i + step) for i in range(0, length, step)]
    rule = {"partial": lambda r: any(s in covered for s in r), "whole": lambda r: all(s in covered for s in r), "momentary": lambda r: r[-1] in covered}
    scored = sum(map(rule[q["method"]], parts))
    return {"scored": scored, "of": len(parts), "percent": F(100 * scored, len(parts)), "true_percent": F(100 * len(covered), length)}


def inside(q):
    if "run" in q:
        run, n = int(q["run"]), int(q["tosses"])
        return {"orders": sum("1" * run in format(bits, f"0{n}b") for bits in range(2**n))}
    if "wait" in q:
        return {"expected": expected(int(q["wait"]), 0, F(q["success"]))}
    if "orders" in q:
        # Inserting the n-th value adds 0 to n - 1 inversions, each once.
        n, counts = int(q["orders"]), {0: 1}
        for k in range(2, n + 1):
            after = {}
            for inversions, many in counts.items():
                for more in range(k):
                    after[inversions + more] = after.get(inversions + more, 0) + many
            counts = after
        pairs = n * (n - 1) // 2
        return {"p": F(sum(c for i, c in counts.items() if pairs - 2 * i >= q["s"]), math.factorial(n))}
    return {}


KINDS = {f.__name__: f for f in (odds, effect, trend, agreement, preference, sampling, inside)}


def at(answer, path):
    for step in path.split("."):
        answer = answer[int(step)] if isinstance(answer, list) else answer[step]
    return answer


def agrees(got, want):
    """Whether a value rounds to what the table says; see agrees in table_test.go."""
    if want in ("null", "true", "false"):
        return got is {"null": None, "true": True, "false": False}[want]
    if isinstance(got, str) or got is None:
        return got == want
    if "/" in want:
        return abs(got - F(want)) <= F(1, 10**12) * max(1, abs(F(want)))
    digits, _, exponent = want.partition("e")
    places = len(digits.partition(".")[2]) - int(exponent or 0)
    value = F(want)
    slack = F(1, 10**9) * max(1, abs(value)) if "." not in digits and not exponent else F(5001, 10**4) / F(10) ** places
    return abs(F(got) - value) <= slack + abs(value) / 10**11


def main(claims):
    done, other, left, wrong = {}, 0, [], []
    for line in claims.read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        where = f"{row['title']}: {row['what']}"
        question = json.loads(row["in"], parse_float=F, parse_int=F) if row["kind"] != "odds" else json.loads(row["in"], parse_float=F)
        answer = KINDS[row["kind"]](question) if row["kind"] in KINDS else {}
        for path, want in row["says"].items():
            try:
                got = at(answer, path)
            except (KeyError, IndexError, TypeError):
                if row["script"] == "independent.py":
                    left.append(f"{where}: {path}")
                continue
            if row["script"]:
                done[row["title"]] = done.get(row["title"], 0) + 1
            else:
                other += 1
            if not agrees(got, want) and abs(F(got or 0) - F(want if want != "null" else 0)) > F(row["within"]):
                wrong.append(f"{where}: {path} is {float(got) if got is not None else got}, the table says {want}")
    for title, many in done.items():
        print(f"ok   {title}: {many} values")
    print(f"ok   values of other marks that the same formulas cover: {other}")
    for text in left:
        print("LEFT", text)
    for text in wrong:
        print("FAIL", text)
    print(f"{sum(done.values())} values recomputed, {other} of other marks, {len(left)} left out, {len(wrong)} wrong")
    return 1 if left or wrong else 0


if __name__ == "__main__":
    sys.exit(main(pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else pathlib.Path(__file__).parent / "testdata" / "claims.jsonl"))
