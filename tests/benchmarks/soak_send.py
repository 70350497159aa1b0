"""Ten thousand seeded fault plans in virtual time; tells what happened, and fails at the first lie.

``python -m tests.benchmarks.soak_send [PLANS [REAL]]``: REAL of them go through pseudo-terminals
and sockets too, to machines that are processes of their own, in real time.
"""

from __future__ import annotations

import sys
import time
from collections import Counter

from cutpath.send.watching import Ended
from tests.send.plans import Plan, judge, plan_of, sent_by
from tests.send.real_plans import really_sent
from tests.send.simulated import Machine


def main(plans: int = 10_000, real: int = 0) -> None:
    """Send, judge and count."""
    for seed in range(real):
        plan = plan_of(7 * seed)
        flow = plan.spec.flow
        if flow != "hardware":  # a pseudo-terminal has no such lines
            machine, ended = really_sent(plan, "pty" if seed % 2 or flow == "xon-xoff" else "tcp")
            _judged(plan, machine, ended)
    print(f"{real} plans by real links: all judged true")
    ends: Counter[tuple[str, str]] = Counter()
    tool_up = begun = doubtful = 0
    start = time.process_time()
    for seed in range(plans):
        plan = plan_of(seed)
        machine, ended = sent_by(plan)
        _judged(plan, machine, ended)
        ends[plan.kind, ended.how.value] += 1
        if ended.is_cut_short:
            begun += 1
            tool_up += ended.tool_up
            doubtful += len(ended.in_doubt(plan.run))
    print(f"{plans} plans in {time.process_time() - start:.0f} s of the processor: all judged true")
    for (kind, how), count in sorted(ends.items()):
        print(f"  {kind:8} {how:9} {count}")
    print(f"  cut short {begun}, tool up {tool_up}; strokes in doubt {doubtful / begun:.2f}")


def _judged(plan: Plan, machine: Machine, ended: Ended) -> None:
    try:
        judge(plan, machine, ended)
    except AssertionError as error:
        raise SystemExit(f"plan {plan.seed} ({plan.spec.flow}, {plan.kind}): {ended}") from error


if __name__ == "__main__":
    main(*[int(each) for each in sys.argv[1:3]])
