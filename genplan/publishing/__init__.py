"""Each person's kept sittings on a CalDAV server (RFC 4791): an optional extra."""
