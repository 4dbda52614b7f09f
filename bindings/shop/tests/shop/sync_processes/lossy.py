"""A network that loses 2 % of all packets, delays each by 10 ms, and one in twenty for longer, so that others overtake it.

    lossy.py PROCESS PROCESS

connects the network namespaces of the two processes: 10.77.0.1 in the first one, 10.77.0.2 in the second one. It prints `ready`, runs until
its input is closed, and then prints as JSON how many packets were forwarded, lost, and overtaken.

The kernel's own network emulator is not built into every kernel; tunnels are.
"""

import fcntl
import heapq
import json
import os
import random
import select
import struct
import subprocess
import sys
import time

LOST = 0.02
DELAY_S = 0.010
SLOW = 0.05
SLOW_S = 0.008

# From Linux' if_tun.h: packets as they are, without a head of the tunnel's own.
TUNSETIFF = 0x400454CA
IFF_TUN, IFF_NO_PI = 0x0001, 0x1000


def tunnel(name, process, own, other):
    """A tunnel whose far end is the only way out of the namespace of `process`."""
    file = os.open("/dev/net/tun", os.O_RDWR | os.O_NONBLOCK)
    fcntl.ioctl(file, TUNSETIFF, struct.pack("16sH22x", name.encode(), IFF_TUN | IFF_NO_PI))
    ip = ["ip"]
    inside = ["nsenter", "-t", process, "-n", "ip"]
    for command in (
        ip + ["link", "set", name, "netns", process],
        inside + ["link", "set", "lo", "up"],
        inside + ["address", "add", own, "peer", other, "dev", name],
        inside + ["link", "set", name, "up"],
    ):
        subprocess.run(command, check=True)
    return file


def forward(files):
    """Forwards packets between the two tunnels until the input is closed."""
    chance = random.Random()
    counts = {"forwarded": 0, "lost": 0, "overtaken": 0}
    across = {files[0]: files[1], files[1]: files[0]}
    # When it is due, its number, its destination, and the packet.
    in_transit = []
    number = 0
    latest = dict.fromkeys(files, -1)
    while True:
        now = time.monotonic()
        while in_transit and in_transit[0][0] <= now:
            _, own, into, packet = heapq.heappop(in_transit)
            counts["overtaken"] += own < latest[into]
            latest[into] = max(own, latest[into])
            try:
                os.write(into, packet)
            except OSError:
                # What does not fit the other end's buffer is lost, as on any network.
                counts["lost"] += 1
        wait = max(0, in_transit[0][0] - now) if in_transit else None
        ready, _, _ = select.select([*files, sys.stdin], [], [], wait)
        if sys.stdin in ready:
            return counts
        for file in ready:
            packet = os.read(file, 65536)
            number += 1
            counts["forwarded"] += 1
            if chance.random() < LOST:
                counts["lost"] += 1
                continue
            due = time.monotonic() + DELAY_S + SLOW_S * (chance.random() < SLOW)
            heapq.heappush(in_transit, (due, number, across[file], packet))


def main():
    first, second = sys.argv[1:]
    files = [
        tunnel("shop0", first, "10.77.0.1", "10.77.0.2"),
        tunnel("barn0", second, "10.77.0.2", "10.77.0.1"),
    ]
    print("ready", flush=True)
    print(json.dumps(forward(files)))


main()
