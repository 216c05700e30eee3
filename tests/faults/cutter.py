"""A relay between phone and server that ends one connection after an exact number of bytes."""

import asyncio
import socket
import struct
import threading
from contextlib import suppress

RESET = struct.pack("ii", 1, 0)


class Cutter:
    """Relays a free port of this machine, `port`, to the port `behind`, until arm() is given a place to cut.

    `passed` counts the bytes of each way since; `fired` says whether the cut was made. After it, all passes again.
    """

    def __init__(self, behind):
        self.behind, self.loop = behind, asyncio.new_event_loop()
        self.arm(None, 0)
        self.thread = threading.Thread(target=self.loop.run_forever, daemon=True)
        self.thread.start()
        self.server = self.run(asyncio.start_server(self.join, "127.0.0.1", 0))
        self.port = self.server.sockets[0].getsockname()[1]

    def run(self, work):
        return asyncio.run_coroutine_threadsafe(work, self.loop).result(20)

    def arm(self, way, at, reset=False):
        """Cut once `at` bytes have gone "up" or "down": politely (FIN), or with a reset that may swallow the last."""
        self.way, self.at, self.reset = way, at, reset
        self.passed, self.fired = {"up": 0, "down": 0}, False

    async def join(self, reader, writer):
        """One connection of the phone, with one of its own to the server."""
        far_reader, far_writer = await asyncio.open_connection("127.0.0.1", self.behind)
        writers = (writer, far_writer)
        try:
            await asyncio.gather(self.relay("up", reader, far_writer, writers),
                                 self.relay("down", far_reader, writer, writers))
        finally:
            self.end(writers, reset=False)
            for each in writers:
                with suppress(OSError):
                    await each.wait_closed()

    async def relay(self, way, reader, writer, writers):
        try:
            while data := await reader.read(65536):
                part = data[:self.allowed(way, len(data))]
                writer.write(part)
                await writer.drain()
                self.passed[way] += len(part)
                if self.way == way and not self.fired and self.passed[way] == self.at:
                    self.fired = True
                    return self.end(writers, self.reset)
            writer.write_eof()
        except OSError:
            self.end(writers, reset=False)

    def allowed(self, way, size):
        return size if self.fired or self.way != way else min(size, self.at - self.passed[way])

    @staticmethod
    def end(writers, reset):
        for writer in writers:
            if reset and not writer.transport.is_closing():
                writer.get_extra_info("socket").setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESET)
                writer.transport.abort()
            writer.close()

    async def finish(self):
        self.server.close()
        rest = [task for task in asyncio.all_tasks() if task is not asyncio.current_task()]
        for task in rest:
            task.cancel()
        await asyncio.gather(*rest, return_exceptions=True)

    def close(self):
        self.run(self.finish())
        self.loop.call_soon_threadsafe(self.loop.stop)
        self.thread.join(20)
        self.loop.close()
