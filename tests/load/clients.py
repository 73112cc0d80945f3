"""Clients that ask for one-day projections, as fast as answered or at a steady rate."""

import http.client
import json
import threading
import time
from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from noonhold_service.description.request_examples import REQUESTS

BODY = json.dumps(REQUESTS["typical_day"].document)
HEADERS = {"Content-Type": "application/json"}


@dataclass
class Seen:
    """What the clients saw.

    Parameters
    ----------
    statuses : Counter
        Answers by status; a failed connection under its name.
    seconds : list of float
        From the first byte sent to the last received. [s]
    elapsed : float
        Of the whole run. [s]
    """

    statuses: Counter[str] = field(default_factory=Counter)
    seconds: list[float] = field(default_factory=list)
    elapsed: float = 0.0

    def said(self) -> str:
        """Return it in a line."""
        if not self.seconds:
            return f"no answer; {dict(self.statuses)}"
        median, late = 1000.0 * np.percentile(self.seconds, [50, 99])
        rate = len(self.seconds) / self.elapsed
        return (
            f"{len(self.seconds)} answers in {self.elapsed:.0f} s: {rate:.1f} a second,"
            f" median {median:.0f} ms, 99th percentile {late:.0f} ms; {dict(self.statuses)}"
        )


def ask(port: int, seen: Seen) -> None:
    """Ask once and note what came."""
    began = time.perf_counter()
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
    try:
        connection.request("POST", "/v1/projections", BODY, HEADERS)
        response = connection.getresponse()
        whole = len(response.read()) == int(response.headers["Content-Length"])
        seen.statuses[str(response.status) if whole else "cut short"] += 1
        seen.seconds.append(time.perf_counter() - began)
    except (OSError, http.client.HTTPException) as error:
        seen.statuses[type(error).__name__] += 1
    finally:
        connection.close()


def ask_steadily(port: int, clients: int, seconds: float, rate: float | None = None) -> Seen:
    """Ask with several clients at a time.

    Parameters
    ----------
    port : int
        Of loopback.
    clients : int
        How many.
    seconds : float
        How long. [s]
    rate : float, optional
        Requests a second of all together; as fast as answered by default.
    """
    seen, began = Seen(), time.perf_counter()
    pause = 0.0 if rate is None else clients / rate

    def client(number: int) -> None:
        due = began + pause * number / clients
        while (now := time.perf_counter()) < began + seconds:
            if due > now:
                time.sleep(due - now)
            ask(port, seen)
            due += pause

    threads = [threading.Thread(target=client, args=(number,)) for number in range(clients)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    seen.elapsed = time.perf_counter() - began
    return seen
