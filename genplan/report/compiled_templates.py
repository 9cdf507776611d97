"""Templates as Python code, kept as Python keeps its modules: beside their sources, in `__pycache__`.

Turning the templates of a week into code takes as long as reading its case. What lies in that folder is trusted as the
compiled modules in it are; what is broken, or was made of another text or by other versions, is made anew, and where
nothing can be written nothing is kept.
"""

from __future__ import annotations

import importlib.util
import marshal
import os
import sys
from contextlib import suppress
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from tempfile import NamedTemporaryFile

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket

from genplan import __version__

TEMPLATES = Path(__file__).parent / "templates"
SEAL = sha256().digest_size


class CompiledTemplates(BytecodeCache):
    """`kind` names the environment: what becomes of a template depends on its settings."""

    def __init__(self, kind: str, templates: Path = TEMPLATES) -> None:
        self._kind, self._templates = kind, templates

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        return name.replace("/", "-")

    def load_bytecode(self, bucket: Bucket) -> None:
        with suppress(OSError):
            data = self._file(bucket).read_bytes()
            seal, code = data[:SEAL], data[SEAL:]
            if seal == self._seal(bucket, code):
                bucket.code = marshal.loads(code)

    def dump_bytecode(self, bucket: Bucket) -> None:
        if sys.dont_write_bytecode:
            return
        code, file = marshal.dumps(bucket.code), self._file(bucket)
        with suppress(OSError):
            file.parent.mkdir(parents=True, exist_ok=True)
            with NamedTemporaryFile(dir=file.parent, delete=False) as new:
                new.write(self._seal(bucket, code) + code)
            try:
                os.replace(new.name, file)
            except OSError:
                os.unlink(new.name)

    def _file(self, bucket: Bucket) -> Path:
        like = importlib.util.cache_from_source(str(self._templates / "any.py"))
        return Path(like).parent / f"{self._kind}-{bucket.key}.{sys.implementation.cache_tag}.jinja"

    def _seal(self, bucket: Bucket, code: bytes) -> bytes:
        """A digest of the code, and of all that it was made of and by."""
        settings = (bucket.environment.trim_blocks, bucket.environment.lstrip_blocks)
        made = (
            bucket.checksum,
            self._kind,
            settings,
            __version__,
            version("jinja2"),
            importlib.util.MAGIC_NUMBER,
        )
        return sha256(repr(made).encode() + code).digest()
