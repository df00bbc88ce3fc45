"""Prints the expected values of luck_test.go: how likely a criterion is to be met by luck.

Independent of Newel: every sequence of sessions is enumerated, and probabilities are fractions.

    python3 internal/verification/luck.py
"""

from fractions import Fraction
from math import comb

CRITERIA = [  # goal in percent, trials, need, of (0: in a row)
    (80, 5, 2, 0), (80, 6, 3, 0), (80, 5, 4, 0), (80, 3, 4, 5), (80, 4, 3, 4), (80, 2, 4, 0),
    (90, 10, 2, 0), (90, 5, 3, 0), (90, 6, 3, 4), (100, 10, 3, 0), (100, 8, 3, 4), (100, 3, 3, 0),
]


def session(goal, trials, percent):
    """The probability that one session of independent trials reaches the goal."""
    p = Fraction(percent, 100)
    return sum(comb(trials, k) * p**k * (1 - p) ** (trials - k) for k in range(trials + 1) if 100 * k >= goal * trials)


def met(outcomes, sessions, need, of):
    """Whether a sequence of sessions, as bits, meets the window somewhere."""
    for end in range(1, sessions + 1):
        length = need if of == 0 else of
        window = [outcomes >> i & 1 for i in range(max(0, end - length), end)]
        if window[-1] and sum(window) >= need:
            return True
    return False


def sequences(sessions, need, of):
    """How many sequences with each number of successes meet the window."""
    counts = [0] * (sessions + 1)
    for outcomes in range(2**sessions):
        if met(outcomes, sessions, need, of):
            counts[outcomes.bit_count()] += 1
    return counts


def main():
    counted = {}
    for goal, trials, need, of in CRITERIA:
        values = []
        for who, percent in (("unlearnt", max(goal - 20, 0)), ("learnt", min(goal + 10, 95))):
            values.append(f"{who}.percent={percent}")
            s = session(goal, trials, percent)
            for sessions in (10, 20):
                key = (sessions, need, of)
                if key not in counted:
                    counted[key] = sequences(*key)
                within = sum(c * s**j * (1 - s) ** (sessions - j) for j, c in enumerate(counted[key]))
                values.append(f"{who}.within_{sessions}={float(within):.10f}")
        window = f"{need} sessions in a row" if of == 0 else f"{need} of the last {of} sessions"
        text = f"{goal}% in {window}"
        print(f"{{what: `{text}, {trials} trials`, in: `{{\"criterion\": \"{text}\", \"trials\": {trials}}}`, says: `{' '.join(values)}`}},")


main()
