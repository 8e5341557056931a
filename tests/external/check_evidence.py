"""Reckons the statistics of Changeover again with scipy and statsmodels.

    check_evidence.py FILE

FILE holds one JSON object a line: a table and what Changeover made of it. Both must agree to 1e-9, relative. Says
what differs, how far the furthest is off, and ends with 1 if anything differs.
"""

import json
import math
import sys
import warnings
from collections import Counter
from fractions import Fraction
from math import comb

import numpy as np
from scipy import stats
from statsmodels.regression.linear_model import WLS
from statsmodels.stats.contingency_tables import StratifiedTable
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import (
    confint_proportions_2indep,
    samplesize_proportions_2indep_onetail,
)

WITHIN = 1e-9
# Below this, double precision has no more digits to compare: probabilities and bits this small are 0.
NOTHING = 1e-250

wrong = []
furthest = Counter()
compared = Counter()


def same(what, case, ours, theirs, near=WITHIN):
    """Compares two numbers, or two lists of them; None and what is not finite are "no answer"."""
    if isinstance(theirs, (list, tuple, np.ndarray)):
        if ours is None or len(ours) != len(theirs):
            wrong.append(f"{what}: {ours} is not {theirs} in {case}")
            return
        for a, b in zip(ours, theirs):
            same(what, case, a, b, near)
        return
    compared[what] += 1
    nothing = theirs is None or not math.isfinite(theirs)
    if ours is None or nothing:
        if not (ours is None and nothing):
            wrong.append(f"{what}: {ours!r} is not {theirs!r} in {case}")
        return
    off = abs(ours - theirs)
    if off > NOTHING:
        off /= max(abs(ours), abs(theirs))
        furthest[what] = max(furthest[what], off)
        if off > near:
            wrong.append(f"{what}: {ours!r} is not {theirs!r} in {case}")


def rate(case):
    won, lost = case["table"]
    if won + lost == 0:
        same("wilson", case, case["wilson"], None)
    else:
        theirs = stats.binomtest(won, won + lost).proportion_ci(0.95, method="wilson")
        same("wilson", case, case["wilson"], [theirs.low, theirs.high])
    after = stats.beta(case["prior"][0] + won, case["prior"][1] + lost)
    same("posterior", case, case["posterior"], [after.mean(), after.ppf(0.025), after.ppf(0.975)])


def mid(tables):
    """Two-sided mid-p-value: the sum of one hypergeometric number a table, its distribution by scipy."""
    sums, at = np.ones(1), 0
    for (a, b), (c, d) in tables:
        n, row, column = a + b + c + d, a + b, a + c
        low = max(0, row + column - n)
        sums = np.convolve(sums, stats.hypergeom(n, column, row).pmf(np.arange(low, min(row, column) + 1)))
        at += a - low
    seen = sums[at]
    equal = np.abs(sums - seen) <= 1e-7 * seen
    return float(sums[(sums < seen) & ~equal].sum() + sums[equal].sum() / 2)


def difference(case):
    (a, b), (c, d) = case["table"]
    tails = ("less", "greater", "two-sided")
    same("fisher", case, case["fisher"], [stats.fisher_exact([[a, b], [c, d]], alternative=t).pvalue for t in tails])
    same("fisher mid-p", case, case["mid"], mid([[[a, b], [c, d]]]), 1e-7)
    if a + b == 0 or c + d == 0:
        same("difference", case, case["interval"], None)
    else:
        theirs = confint_proportions_2indep(a, a + b, c, c + d, method="newcomb", compare="diff", alpha=0.05)
        same("difference", case, case["interval"], theirs)


def discovery(case):
    same("discovery", case, case["q"], multipletests(case["p"], method="fdr_bh")[1])


def groups(case):
    # What a group without points on both sides adds is 0 divided by 0 there; here it is left out.
    tables = [t for t in case["tables"] if sum(t[0]) and sum(t[1])]
    if not tables:
        for name in ("odds_ratio", "interval", "p"):
            same("groups", case, case[name], None)
        return
    within(case, np.array(tables, dtype=float))
    theirs = StratifiedTable([np.array(t, dtype=float) for t in tables])
    same("odds ratio", case, case["odds_ratio"], theirs.oddsratio_pooled)
    # Its own p-value is 1 less the distribution, without digits when small: the statistic's tail is from scipy.
    same("mantel-haenszel p", case, case["p"], stats.chi2.sf(theirs.test_null_odds(correction=False).statistic, 1))
    if case["interval"] is None:
        forward = sum(a * d for (a, b), (c, d) in tables)
        back = sum(b * c for (a, b), (c, d) in tables)
        if forward and back:
            wrong.append(f"odds interval: missing in {case}")
    else:
        same("odds interval", case, case["interval"], theirs.oddsratio_pooled_confint())


def within(case, tables):
    # The difference is that of a regression on the side and one constant a group (statsmodels), weighed by the counts.
    rows, weights = [], []
    for group, table in enumerate(tables):
        for side in (0, 1):
            for won in (0, 1):
                rows.append((won, 1 - side, group))
                weights.append(table[side][1 - won])
    won, side, group = np.array(rows, dtype=float).T
    constants = (group[:, None] == np.arange(len(tables))).astype(float)
    found = WLS(won, np.column_stack([side, constants]), weights=weights).fit().params[0]
    if abs(found) < 1e-11 and abs(case["difference"]) < 1e-11:
        compared["difference within"] += 1
    else:
        same("difference within", case, case["difference"], found, 1e-7)
    # Sato 1989, as Klingenberg 2014 solves it; no library has it: numpy, from the formulas.
    (x1, y1), (x2, y2) = tables[:, 0].T, tables[:, 1].T
    n1, n2 = x1 + y1, x2 + y2
    n, z = n1 + n2, stats.norm.ppf(0.975)
    weight = (n1 * n2 / n).sum()
    p = ((n1**2 * x2 - n2**2 * x1 + n1 * n2 * (n2 - n1) / 2) / n**2).sum()
    q = ((x1 * y2 + x2 * y1) / (2 * n)).sum()
    delta = (x1 * n2 / n - x2 * n1 / n).sum() / weight
    roots = np.roots([1, -2 * delta - z**2 * p / weight**2, delta**2 - z**2 * q / weight**2])
    low, high = sorted(np.real(roots))
    for ours, theirs in zip(case["difference_interval"], (min(max(low, -1), delta), max(min(high, 1), delta))):
        compared["difference within, interval"] += 1
        if abs(ours - theirs) > 1e-7:
            wrong.append(f"difference within: {ours} is not {theirs} in {case}")
    if case["exact"] is not None:
        same("exact within", case, case["exact"], mid(case["tables"]), 1e-7)


def exact_runs(first, second, seen):
    """Both tails of the runs distribution in whole numbers."""
    ways = {}
    for r in range(2, first + second + 1):
        k, odd = divmod(r, 2)
        if odd:
            ways[r] = comb(first - 1, k) * comb(second - 1, k - 1) + comb(first - 1, k - 1) * comb(second - 1, k)
        else:
            ways[r] = 2 * comb(first - 1, k - 1) * comb(second - 1, k - 1)
    every = comb(first + second, first)
    assert sum(ways.values()) == every
    few = sum(w for r, w in ways.items() if r <= seen)
    many = sum(w for r, w in ways.items() if r >= seen)
    return [float(Fraction(few, every)), float(Fraction(many, every))]


def serves(case):
    choices = case["choices"]
    n = len(choices)
    counts = Counter(choices)
    same("entropy", case, case["bits"], stats.entropy(list(counts.values()), base=2) if n else None)
    pairs = list(zip(choices, choices[1:]))
    given = None
    if pairs:
        # H(pair) - H(before)
        both = stats.entropy(list(Counter(pairs).values()), base=2)
        given = both - stats.entropy(list(Counter(choices[:-1]).values()), base=2)
    if given is not None and abs(given) < 1e-12:
        given = 0.0
    same("entropy given", case, case["given"], given)
    wide = [c == 0 for c in choices]
    if case["runs"] is None:
        if any(wide) and not all(wide):
            wrong.append(f"runs: missing in {case}")
        return
    runs, z, p_normal, few, many = case["runs"]
    first, second = sum(wide), n - sum(wide)
    same("runs", case, [few, many], exact_runs(first, second, runs))
    same("runs", case, runs, 1 + int(np.count_nonzero(np.diff(wide))))
    if z is not None:
        mean = 1 + 2 * first * second / n
        sd = math.sqrt((mean - 1) * (mean - 2) / (n - 1))
        same("runs z", case, [z, p_normal], [(runs - mean) / sd, 2 * stats.norm.sf(abs(runs - mean) / sd)])


def directions(case):
    table = np.array([row for row in case["table"] if sum(row)])
    if len(table) < 2 or 0 in table.sum(axis=0):
        same("directions", case, case["test"], None)
        return
    theirs = stats.chi2_contingency(table, correction=False)
    same("directions", case, case["test"], [theirs.statistic, theirs.dof, theirs.pvalue])


def power(case):
    one, other = case["rates"]
    theirs = samplesize_proportions_2indep_onetail(
        one - other, other, 0.8, ratio=1, alpha=0.05, value=0, alternative="two-sided"
    )
    same("points needed", case, case["n"], float(theirs))


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        cases = [json.loads(line) for line in file]
    kinds = Counter(case["kind"] for case in cases)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for case in cases:
            globals()[case["kind"]](case)
    for kind in "rate difference discovery groups serves directions power".split():
        if kinds[kind] < 50:
            wrong.append(f"only {kinds[kind]} tables of kind {kind}")
    for line in wrong[:30]:
        print(line)
    for what, n in sorted(compared.items()):
        print(f"{what}: {n} numbers, furthest off {furthest[what]:.1e}")
    print(f"{len(cases)} tables reckoned again: {len(wrong)} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
