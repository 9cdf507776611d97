"""The guided start in the browser."""
