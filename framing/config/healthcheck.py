"""Ask the web server in the same container whether it is ready: `python -m framing.config.healthcheck`."""

import os
import sys
import urllib.error
import urllib.request


def healthy(port: int, host: str) -> bool:
    """Tell whether the ready page on loopback answers 200 to a request for `host`."""
    address = f"http://127.0.0.1:{port}/health/ready"
    request = urllib.request.Request(address, headers={"Host": host, "X-Forwarded-Proto": "https"})
    try:
        with urllib.request.urlopen(request, timeout=4) as answer:  # noqa: S310  # a fixed http address
            return bool(answer.status == 200)
    except (urllib.error.URLError, OSError):
        return False


if __name__ == "__main__":
    first = os.environ.get("SPANYARD_HOSTS", "localhost").split(",")[0].lstrip(".")
    sys.exit(not healthy(8000, first))
