"""A result is made once for one content, one task and one version."""

from lees.work.cache import Cache


def test_a_result_is_made_once_per_content_task_and_version(tmp_path):
    made = []

    def make():
        made.append(1)
        return {"n": len(made)}

    cache = Cache(tmp_path / "cache", "1")
    assert cache.result(b"a", "read", make) == cache.result(b"a", "read", make) == {"n": 1}
    assert cache.result(b"b", "read", make) == {"n": 2}
    assert cache.result(b"a", "measure", make) == {"n": 3}
    assert Cache(tmp_path / "cache", "2").result(b"a", "read", make) == {"n": 4}


def test_a_damaged_or_unwritable_cache_costs_only_time(tmp_path):
    cache = Cache(tmp_path, "1")
    cache.result(b"a", "read", lambda: 1)
    for path in tmp_path.glob("*.json"):
        path.write_text("{")
    assert cache.result(b"a", "read", lambda: 2) == 2
    assert Cache(None, "1").result(b"a", "read", lambda: 3) == 3
    (tmp_path / "file").write_text("")
    assert Cache(tmp_path / "file" / "x", "1").result(b"a", "read", lambda: 4) == 4
