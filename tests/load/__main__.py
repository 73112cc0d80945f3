"""``python -m tests.load capacity|soak|stop``: figures of the service under load, with its own.

They are of the machine and of whatever else runs on it: the load is printed beside them.
"""

import os
import threading
import time

import click

from noonhold.documents import load_projection
from noonhold.simulation.case_runs import run_cases
from noonhold.simulation.simulation_case import prepare, without_cooling
from noonhold.weather.selection import select_weather
from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.settings import Settings
from noonhold_service.state.app_state import open_app_state
from tests.load.clients import Seen, ask, ask_steadily
from tests.load.server import Server, serving


def tell(text: str) -> None:
    load = " ".join(f"{each:.1f}" for each in os.getloadavg())
    click.echo(f"{time.strftime('%H:%M:%S')} (load {load}) {text}")


def kernel_ms() -> float:
    """Return the processor time of the compiled loop for the request, both twins. [ms]"""
    held = open_app_state(Settings())
    request = load_projection(REQUESTS["typical_day"].document, held.resolve_rig).value
    scenario = request.scenario
    selected = select_weather(
        request.weather, scenario.place, scenario.start.spin_up_days, held.catalogue,
        held.weather.read,
    )  # fmt: skip
    case, _ = prepare(request.rig, scenario, selected.table, selected.spin_up)
    twins = [case, without_cooling(case)]
    run_cases(twins)
    took = []
    for _ in range(50):
        began = time.process_time()
        run_cases(twins)
        took.append(1000.0 * (time.process_time() - began))
    return sorted(took)[len(took) // 2]


@click.group()
def main() -> None:
    """Put the service under load on this machine."""


@main.command()
@click.option("--workers", default=2)
@click.option("--clients", default=4)
@click.option("--seconds", default=30.0)
def capacity(workers: int, clients: int, seconds: float) -> None:
    """Ask as fast as answered, first one client, then several."""
    bare = kernel_ms()
    tell(f"the compiled loop alone: {bare:.2f} ms of processor time for the same request")
    with serving(workers) as server:
        for count in (1, clients):
            ask_steadily(server.port, count, 3.0)
            seen = ask_steadily(server.port, count, seconds)
            tell(f"{workers} workers, {count} clients: {seen.said()}")
            median = 1000.0 * sorted(seen.seconds)[len(seen.seconds) // 2]
            tell(f"median over the compiled loop: {median / bare:.1f}")


@main.command()
@click.option("--workers", default=2)
@click.option("--seconds", default=600.0)
@click.option("--share", default=2 / 3)
def soak(workers: int, seconds: float, share: float) -> None:
    """Ask at a share of the measured capacity for long, and watch the memory."""
    with serving(workers) as server:
        ask_steadily(server.port, 4, 5.0)
        full = ask_steadily(server.port, 4, 20.0)
        tell(f"capacity: {full.said()}")
        rate = share * len(full.seconds) / full.elapsed
        tell(f"from now on {rate:.1f} a second for {seconds:.0f} s")
        over = threading.Event()

        def watch() -> None:
            while not over.wait(min(60.0, seconds / 5)):
                tell(f"resident MB of master and workers: {server.resident_mb()}")

        tell(f"resident MB of master and workers: {server.resident_mb()}")
        watcher = threading.Thread(target=watch)
        watcher.start()
        seen = ask_steadily(server.port, 8, seconds, rate)
        over.set()
        watcher.join()
        tell(f"resident MB of master and workers: {server.resident_mb()}")
        tell(seen.said())


@main.command()
@click.option("--workers", default=2)
@click.option("--rounds", default=5)
def stop(workers: int, rounds: int) -> None:
    """Stop it with SIGTERM while requests are in it, and count what became of them."""
    for _ in range(rounds):
        with serving(workers) as server:
            ask_steadily(server.port, 4, 2.0)
            seen = _asked_before_the_stop(server)
            tell(f"8 requests were under way when SIGTERM came: {dict(seen.statuses)}")


def _asked_before_the_stop(server: Server) -> Seen:
    seen = Seen()
    asking = [threading.Thread(target=ask, args=(server.port, seen)) for _ in range(8)]
    for each in asking:
        each.start()
    # Long enough for every connection to be taken, shorter than eight answers.
    time.sleep(0.03)
    server.stop()
    for each in asking:
        each.join()
    return seen


main(prog_name="python -m tests.load")
