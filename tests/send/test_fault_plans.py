"""Seeded faults in virtual time; ``tests/benchmarks/soak_send.py`` runs ten thousand of them."""

import pytest

from tests.send.plans import judge, plan_of, sent_by


@pytest.mark.parametrize("first", range(0, 300, 30))
def test_a_job_is_done_once_or_a_prefix_of_it_and_that_is_told(first: int) -> None:
    for seed in range(first, first + 30):
        plan = plan_of(seed)
        machine, ended = sent_by(plan)
        try:
            judge(plan, machine, ended)
        except AssertionError as error:
            raise AssertionError(f"plan {seed} ({plan.spec.flow}, {plan.kind}): {ended}") from error
