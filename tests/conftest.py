"""What all tests share."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "calm",
    deadline=None,  # speed lives in tests/benchmarks, never in a test
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("calm")
