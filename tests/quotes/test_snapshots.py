"""A stored result reads back as it was, and nothing else is taken for one."""

import json

import pytest

from quotes.snapshots import SnapshotUnreadable, package_from_json, package_to_json
from tests.factories.packages import floor, package


def test_a_package_survives_the_way_through_json_text():
    before = package(floor("Ground floor"), floor("Upper floor", repeat=3, passes=False), trucks=2)
    stored = json.loads(json.dumps(package_to_json(before), allow_nan=False))
    after = package_from_json(stored)
    assert after == before
    assert after.floors[0].plan.bays[0].spacing_16 == before.floors[0].plan.bays[0].spacing_16
    assert package_to_json(after) == stored


def test_the_stored_shape_names_itself():
    stored = package_to_json(package())
    assert (stored["format"], stored["version"]) == ("spanyard.result", 1)


@pytest.mark.parametrize(
    "change",
    [{"version": 2}, {"format": "other"}, {"package": {}}, {"package": None}],
    ids=["newer version", "other format", "empty package", "no package"],
)
def test_what_is_no_result_of_this_version_is_refused(change):
    with pytest.raises(SnapshotUnreadable):
        package_from_json(package_to_json(package()) | change)
