"""Stands in for the service manager: listens where NOTIFY_SOCKET points to, and writes one JSON
line for each datagram: when it came, the process that sent it as the kernel tells, and its text.
Python's standard library only.

usage: notice-listener.py SOCKET
"""

import json
import socket
import struct
import sys
import time

PID, UID, GID = "i", "I", "I"
CREDENTIALS = struct.Struct(PID + UID + GID)

listener = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
listener.setsockopt(socket.SOL_SOCKET, socket.SO_PASSCRED, 1)
listener.bind(sys.argv[1])
print(json.dumps({"atMs": 0, "pid": 0, "text": "listening"}), flush=True)
while True:
    text, ancillary, _, _ = listener.recvmsg(4096, socket.CMSG_SPACE(CREDENTIALS.size))
    pid = CREDENTIALS.unpack(ancillary[0][2])[0] if ancillary else 0
    at_ms = round(time.monotonic() * 1000)
    print(json.dumps({"atMs": at_ms, "pid": pid, "text": text.decode()}), flush=True)
