"""What all tests share: hypothesis without a clock, for a busy machine is no fault of the program."""

from hypothesis import HealthCheck, settings

settings.register_profile("fraywork", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("fraywork")
