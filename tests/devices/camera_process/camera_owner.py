"""A process that owns a camera and waits to be killed: `camera_owner.py PICTURES [FAULT]`.

It prints its child's process id and the spare's.
"""

import sys
import time
from pathlib import Path

from kiosk.devices.sim.camera import SimulatedCamera, SimulatedDriver
from kiosk.devices.sim.scenario import Scenario

if __name__ == "__main__":
    camera = SimulatedCamera(SimulatedDriver(Path(sys.argv[1]), Scenario()))
    camera.start()
    while camera.spare_pid is None:
        camera.poll()
        time.sleep(0.005)
    for fault in sys.argv[2:]:
        camera.fail_next(fault)
        time.sleep(0.2)
    print(camera.pid, camera.spare_pid, flush=True)
    time.sleep(600)
