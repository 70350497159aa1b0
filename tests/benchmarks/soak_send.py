"""Ten thousand seeded fault plans in virtual time; tells what happened, and fails at the first lie.

``python -m tests.benchmarks.soak_send [PLANS]``
"""

from __future__ import annotations

import sys
import time
from collections import Counter

from tests.send.plans import judge, plan_of, sent_by


def main(plans: int) -> None:
    """Send, judge and count."""
    ends: Counter[tuple[str, str]] = Counter()
    tool_up = begun = doubtful = 0
    start = time.process_time()
    for seed in range(plans):
        plan = plan_of(seed)
        machine, ended = sent_by(plan)
        try:
            judge(plan, machine, ended)
        except AssertionError as error:
            raise SystemExit(f"plan {seed} ({plan.spec.flow}, {plan.kind}): {ended}") from error
        ends[plan.kind, ended.how.value] += 1
        if ended.is_cut_short:
            begun += 1
            tool_up += ended.tool_up
            doubtful += len(ended.in_doubt(plan.run))
    print(f"{plans} plans in {time.process_time() - start:.0f} s of the processor: all judged true")
    for (kind, how), count in sorted(ends.items()):
        print(f"  {kind:8} {how:9} {count}")
    print(f"  cut short {begun}, tool up {tool_up}; strokes in doubt {doubtful / begun:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
