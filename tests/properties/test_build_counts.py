"""How many random builds there are: 200 in the default run, 2,000 in the long one, of every kind."""

from sound_builds import SHARES, builds


def test_the_long_run_holds_two_thousand_builds_and_the_default_one_two_hundred():
    assert sum(builds(kind, long=True) for kind in SHARES) >= 2000
    assert 200 <= sum(builds(kind, long=False) for kind in SHARES) <= 300
