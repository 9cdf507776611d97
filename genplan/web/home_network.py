"""The home's own network: this machine's address in it, and who is near enough to be answered."""

from __future__ import annotations

import socket
from contextlib import suppress
from ipaddress import IPv4Address, IPv4Network, ip_address

from genplan.errors import UsageError
from genplan.language import _

HOME = tuple(map(IPv4Network, ("192.168.0.0/16", "10.0.0.0/8", "172.16.0.0/12", "169.254.0.0/16")))
"""RFC 1918, and RFC 3927 for a network in which nobody gives addresses out (numbers from memory)."""
LOOPBACK = IPv4Network("127.0.0.0/8")


def network_of(address: str) -> IPv4Network | None:
    """The block of private addresses that it lies in. How far the network reaches within it is not known here."""
    with suppress(ValueError):
        found = ip_address(address)
        return next((n for n in (*HOME, LOOPBACK) if isinstance(found, IPv4Address) and found in n), None)
    return None


def is_near(address: str, network: IPv4Network) -> bool:
    with suppress(ValueError):
        return ip_address(address) in network
    return False


def named_address(text: str) -> str:
    """The address that somebody named. Raises UsageError for one that is not private."""
    if network_of(text) is None:
        raise UsageError(
            _(
                "--phones: found '{text}', expected this machine's private address in the home's "
                "network, such as 192.168.1.5. The page is never opened to any other network.",
                text=text[:60],
            )
        )
    return str(ip_address(text))


def own_address() -> str:
    """This machine's address in the home's network. Nothing is sent. Raises UsageError where it has none."""
    for network in HOME[:3]:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked, suppress(OSError):
            # of a datagram socket this only looks up by which address the way would begin
            asked.connect((str(network.broadcast_address - 1), 9))
            found = str(asked.getsockname()[0])
            if any(ip_address(found) in n for n in HOME):
                return found
    raise UsageError(
        _(
            "--phones: this machine has no private address in a network (such as 192.168.1.5), so "
            "no phone could reach it. Join the home's network; or, if you know the address, name "
            "it: --phones 192.168.1.5."
        )
    )
