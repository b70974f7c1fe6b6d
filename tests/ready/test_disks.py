"""What disks say of themselves, in the form of `smartctl --json` (smartmontools 7; field names from memory)."""

import json

import pytest

from kiosk.ready.disks import MOST_USED_PERCENT, disk_findings

NVME = {"critical_warning": 0, "available_spare": 100, "available_spare_threshold": 10, "percentage_used": 3}
SECTORS = {"id": 5, "name": "Reallocated_Sector_Ct", "value": 100, "thresh": 10, "when_failed": ""}


def well(**more):
    return {"smart_status": {"passed": True}, **more}


def nvme(**changed):
    return well(nvme_smart_health_information_log={**NVME, **changed})


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (well(), "says that it is well"),
        (nvme(), "says that it is well"),
        (well(ata_smart_attributes={"table": [SECTORS]}), "says that it is well"),
        ({"smart_status": {"passed": False}}, "expects to fail"),
        (well(ata_smart_attributes={"table": [{**SECTORS, "when_failed": "now"}]}), "Reallocated Sector Ct is below"),
        (nvme(available_spare=9), "running out of spare blocks"),
        (nvme(percentage_used=MOST_USED_PERCENT), f"{MOST_USED_PERCENT} % of the life"),
        ([1], "cannot be read"),
        ({"smart_status": 1}, "cannot be read"),
    ],
)
def test_a_disk_is_said_to_be_well_or_what_is_wrong_with_it(tmp_path, answer, said):
    (tmp_path / "sda.json").write_text(json.dumps(answer))
    (finding,) = disk_findings(tmp_path)
    assert finding.sentence.startswith("The disk sda")
    assert said in finding.sentence
    assert finding.good == ("well" in said)
    assert finding.good == (finding.next_step == "")
    assert not finding.stops


def test_a_file_cut_short_is_a_finding_and_a_disk_without_such_a_record_is_none(tmp_path):
    (tmp_path / "sda.json").write_text('{"smart_sta')
    (tmp_path / "vda.json").write_text(json.dumps({"smartctl": {"exit_status": 2}}))
    assert ["cannot be read" in finding.sentence for finding in disk_findings(tmp_path)] == [True]
    assert list(disk_findings(tmp_path / "missing")) == []
