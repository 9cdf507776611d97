"""Where the workers are, and by which keys they are spoken to."""

from __future__ import annotations

import re
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING, Any

from genplan.errors import FileError, UsageError, reason_of
from genplan.files import read_file
from genplan.language import _

if TYPE_CHECKING:
    from distributed import Security

MOST_BYTES = 1_000_000
FORM = re.compile(r"(tcp|tls)://(\[[0-9a-f:.%]+\]|[\w.-]+):(\d{1,5})", re.ASCII | re.IGNORECASE)
KEYS = {"tls_ca_file": "ca-file", "tls_client_cert": "client.cert", "tls_client_key": "client.key"}
"""What a client needs to know to speak and be spoken to by TLS: Dask's arguments, and its keys below
`distributed.comm.tls`."""


@dataclass(frozen=True)
class Elsewhere:
    """A scheduler of Dask.

    - `address`: as `tls://HOST:PORT` or `tcp://HOST:PORT`
    - `config`: a file of Dask's configuration; None: it is in Dask's own places
    - `unencrypted`: somebody decided that jobs may be read on their way to other machines"""

    address: str
    config: Path | None = None
    unencrypted: bool = False

    def check(self) -> None:
        """Raises UsageError for another form of address, and for a way on which everybody could read along."""
        found = FORM.fullmatch(self.address)
        if not found or not 0 < int(found[3]) <= 65535:
            raise UsageError(
                _(
                    "'{address}' is no address of a scheduler of Dask. Expected tls://HOST:PORT, or tcp://HOST:PORT on"
                    " this machine, such as tls://192.168.1.20:8786, as 'dask scheduler' prints it.",
                    address=self.address,
                )
            )
        if not self.is_safe(self.address):
            raise UsageError(
                _(
                    "What is sent to {address} could be read and changed by others on the way. Use tls:// and Dask's"
                    " keys ('genplan help page machines'). In a network in which nobody else is, --workers-unencrypted"
                    " lets it pass. Nothing was sent.",
                    address=self.address,
                )
            )

    def is_safe(self, address: str) -> bool:
        """Whether nobody on the way can read along, or somebody decided that this does not matter."""
        found = FORM.fullmatch(address)
        return self.unencrypted or (found is not None and (_is_tls(found) or _is_here(found[2])))

    def security(self) -> Security | None:
        """The keys; None where the address needs none. Raises UsageError and FileError."""
        found = FORM.fullmatch(self.address)
        if found is None or not _is_tls(found):
            return None
        from distributed import Security

        named = {name: self._file(key) for name, key in KEYS.items()}
        return Security(require_encryption=True, **named)

    def _file(self, key: str) -> str:
        import dask

        path = dask.config.get(f"distributed.comm.tls.{key}", default=None, config=self._settings())
        where = str(self.config or _("Dask's configuration"))
        if not isinstance(path, str):
            raise UsageError(
                _(
                    "{where} has no distributed.comm.tls.{key}. For tls:// it names three files in PEM form: ca-file,"
                    " client.cert and client.key. 'genplan help page machines' shows one. Nothing was sent.",
                    where=where,
                    key=key,
                )
            )
        try:
            with Path(path).open("rb"):
                return path
        except OSError as error:
            raise FileError(
                _(
                    "{path}, which {where} names as distributed.comm.tls.{key}, cannot be read ({why}). Nothing was"
                    " sent.",
                    path=path,
                    where=where,
                    key=key,
                    why=reason_of(error),
                )
            ) from None

    def _settings(self) -> Any:
        import dask

        if self.config is None:
            return dask.config.config
        try:
            read_file(self.config, MOST_BYTES)
            found = list(dask.config.collect_yaml([str(self.config)]))
        except OSError as error:
            raise FileError(
                _("{file} cannot be read ({why}). Nothing was sent.", file=self.config, why=reason_of(error))
            ) from None
        except ValueError:
            raise UsageError(
                _(
                    "{file} is no configuration of Dask: expected YAML with distributed.comm.tls in it, as"
                    " 'genplan help page machines' shows it. Nothing was sent.",
                    file=self.config,
                )
            ) from None
        return found[0] if found else {}


def _is_tls(found: re.Match[str]) -> bool:
    return found[1].lower() == "tls"


def _is_here(host: str) -> bool:
    if host.lower() == "localhost":
        return True
    try:
        return ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False
