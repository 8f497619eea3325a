"""Settings for the whole suite."""

from hypothesis import HealthCheck, settings

# No deadline: the machines that run this are shared. Derandomised: the same commit gives the same
# answer everywhere; `--hypothesis-profile=search` looks for new cases.
settings.register_profile(
    "house", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("search", deadline=None, max_examples=500, print_blob=True)
settings.load_profile("house")
