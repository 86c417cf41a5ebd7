"""Start the bench on a loopback address."""

import ipaddress
import socket
from collections.abc import Callable
from pathlib import Path

from ohmwright.working import OhmwrightError

NAMES = ("localhost", "127.0.0.1", "::1")
STATIC = Path(__file__).parent / "static"


def loopback(host: str) -> str:
    """The address to bind, or the reason why not."""
    try:
        inside = host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        inside = False
    if not inside:
        raise OhmwrightError(
            f"the bench has no sign-in yet, so it answers on this machine only and not on {host}",
            remedy="leave --host out, or reach this machine over a tunnel that asks who you are",
        )
    return "127.0.0.1" if host == "localhost" else host


def serve(
    folder: str, *, host: str = "localhost", port: int = 8017, told: Callable[[str], None] = lambda _: None
) -> None:
    """Serve the jobs of a folder until the program is stopped. Port 0 takes any free one."""
    address = loopback(host)
    if not (STATIC / "bench.js").is_file():
        raise OhmwrightError(
            "the pages of the bench are not built", remedy="run ./demo once, or node scripts/build_web.mjs"
        )
    where = Path(folder)
    if not where.is_dir():
        raise OhmwrightError(
            f"there is no folder {folder}", remedy="name the folder that holds your jobs, or make it first"
        )
    import uvicorn

    from ohmwright.web.app import app_of
    from ohmwright.web.bench import Bench
    from ohmwright.web.key import token_of
    from ohmwright.web.warmth import Warmth

    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as door:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind((address, port))
        except OSError as error:
            raise OhmwrightError(
                f"port {port} cannot be had: {error.strerror}",
                remedy="name another with --port, or 0 for any free one",
            ) from None
        door.listen(128)
        shown = f"[{address}]" if ":" in address else address
        bench = Bench(folder, token_of(folder))
        bench.warmth = Warmth(bench)
        told(f"http://{shown}:{door.getsockname()[1]}/")
        config = uvicorn.Config(
            app_of(bench, hosts=(*NAMES, address), begun=bench.warmth.begin),
            log_level="warning",
            server_header=False,
            timeout_graceful_shutdown=2,
        )
        uvicorn.Server(config).run(sockets=[door])
