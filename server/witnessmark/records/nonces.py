"""Challenges for signing in by key: each is good for one proof, for two minutes, and only in this process."""

import secrets
import threading

from .clock import unix_now

GOOD_FOR_S = 120
AT_MOST = 1000
AT_MOST_OF_ONE = 5


class Nonces:
    """The challenges given out and not yet used. Beyond AT_MOST the oldest go, so that strangers take no memory; beyond
    AT_MOST_OF_ONE the oldest of that key go, so that asking for one key's takes no other's away."""

    def __init__(self):
        self._given, self._lock = {}, threading.Lock()

    def give(self, kid):
        """A fresh nonce (64 hex digits) for the key `kid`."""
        nonce = secrets.token_hex(32)
        with self._lock:
            self._given[nonce] = (kid, unix_now())
            of_one = [given for given, (asked, _) in self._given.items() if asked == kid]
            for given in of_one[:-AT_MOST_OF_ONE]:
                del self._given[given]
            while len(self._given) > AT_MOST:
                del self._given[next(iter(self._given))]
        return nonce

    def use(self, nonce, kid):
        """Was this nonce given to `kid` within the last two minutes? Whatever the answer, it is used up."""
        with self._lock:
            given_to, at = self._given.pop(nonce, (None, 0))
        return given_to == kid and 0 <= unix_now() - at <= GOOD_FOR_S
