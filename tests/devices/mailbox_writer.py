"""A process that hammers a mailbox as fast as it can: `mailbox_writer.py DESCRIPTOR CAPACITY`.

Each payload consists of one byte value and has a length of its own, both computed from its sequence number, and its
time is that number, so that a reader can tell a torn copy by itself.
"""

import sys

from kiosk.devices.camera.mailbox import Mailbox

mailbox = Mailbox(int(sys.argv[1]), int(sys.argv[2]))
while True:
    number = mailbox.sequence() + 1
    payload = bytes([number % 251]) * (number * 7919 % mailbox.capacity_bytes)
    mailbox.put(payload, float(number))
