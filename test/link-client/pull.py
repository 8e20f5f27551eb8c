"""A second client of the link, written from firmware/link/PROTOCOL.md alone: pulls a controller's
log over a serial device or a local socket, checks its chain, and writes one record's text a line.
Goes on where the file ends. Python's standard library only.

usage: pull.py PORT FILE        exit 0: all there is; 1: it does not hold; 2: no controller
"""

import hashlib
import json
import os
import random
import select
import socket
import stat
import sys
import termios
import time
import zlib

END, ESC = 0xC0, 0xDB
SCALES = (10, 100, 100, 100, 10)
KEYS = ("flowLph", "vacuumKpa", "supplyVolts", "motorAmps", "fuelC")
WORDS = (None, "not-fitted", "stale", "open", "short", "out-of-range", "unlike", "jumps")
FRAMES, SILENCE_S, TRIES = 32, 1.0, 10


class Line:
    def __init__(self, path):
        if stat.S_ISSOCK(os.stat(path).st_mode):
            self.socket = socket.socket(socket.AF_UNIX)
            self.socket.connect(path)
            self.fd = self.socket.fileno()
        else:
            self.fd = os.open(path, os.O_RDWR | os.O_NOCTTY)
            mode = termios.tcgetattr(self.fd)
            mode[0] = mode[1] = mode[3] = 0
            mode[2] = termios.CS8 | termios.CREAD | termios.CLOCAL
            mode[4] = mode[5] = termios.B115200
            termios.tcsetattr(self.fd, termios.TCSANOW, mode)
        self.run, self.payloads = bytearray(), []

    def send(self, payload):
        raw = payload + zlib.crc32(payload).to_bytes(4, "little")
        raw = raw.replace(b"\xdb", b"\xdb\xdd").replace(b"\xc0", b"\xdb\xdc")
        os.write(self.fd, b"\xc0" + raw + b"\xc0")

    def payload(self, until):
        """The next good frame's payload, or None when none has come by then."""
        while not self.payloads:
            if not select.select([self.fd], [], [], max(0, until - time.monotonic()))[0]:
                return None
            for byte in os.read(self.fd, 4096):
                if byte != END:
                    self.run.append(byte)
                elif self.run:
                    self.finish(bytes(self.run))
                    self.run.clear()
        return self.payloads.pop(0)

    def finish(self, raw):
        if raw.replace(b"\xdb\xdc", b"").replace(b"\xdb\xdd", b"").count(ESC):
            return
        frame = raw.replace(b"\xdb\xdc", b"\xc0").replace(b"\xdb\xdd", b"\xdb")
        if len(frame) >= 5 and zlib.crc32(frame[:-4]).to_bytes(4, "little") == frame[-4:]:
            self.payloads.append(frame[:-4])


class Bytes:
    def __init__(self, data):
        self.data, self.at = data, 0

    def varint(self):
        value = shift = 0
        while True:
            byte = self.data[self.at]
            self.at += 1
            value |= (byte & 0x7F) << shift
            shift += 7
            if byte < 0x80:
                return value

    def signed(self):
        z = self.varint()
        return z // 2 if z % 2 == 0 else -(z + 1) // 2

    def take(self, count):
        self.at += count
        return self.data[self.at - count : self.at]

    def column(self, count):
        if count == 0:
            return []
        order, base, numbers, before = self.varint(), self.signed(), [], 0
        for _ in range(count):
            numbers.append(base + self.signed() + (before if order else 0))
            before = numbers[-1]
        return numbers

    def quantity(self, count, scale):
        words = [(self.varint(), self.varint()) for _ in range(self.varint())] or [(0, count)]
        numbers = iter(self.column(sum(length for word, length in words if word == 0)))
        texts = []
        for word, length in words:
            for _ in range(length):
                texts.append(decimal(next(numbers), scale) if word == 0 else f'"{WORDS[word]}"')
        return texts


def decimal(steps, scale):
    whole, part = divmod(abs(steps), scale)
    digits = f"{part:0{len(str(scale)) - 1}d}".rstrip("0")
    return ("-" if steps < 0 else "") + str(whole) + ("." + digits if digits else "")


def samples(data, seq):
    columns = Bytes(data)
    count, boot = columns.varint(), columns.varint()
    mono = columns.column(count)
    values = [columns.quantity(count, scale) for scale in SCALES]
    motor, pulses = columns.column(count), columns.column(count)
    for i in range(count):
        shown = ",".join(f'"{key}":{column[i]}' for key, column in zip(KEYS, values))
        yield (
            f'{{"seq":{seq + i},"boot":{boot},"monoMs":{mono[i]},"v":2,"kind":"sample",{shown},'
            f'"run":{{"motorMs":{motor[i] + mono[i]},"pulses":{pulses[i]}}}}}'
        )


def texts_of(body, seq):
    items = Bytes(body)
    while items.at < len(body):
        tag = items.varint()
        data = items.take(items.varint())
        for text in [data.decode()] if tag == 0 else samples(data, seq):
            yield text
            seq = json.loads(text)["seq"] + 1


def digits(text):
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def inflated(data):
    return zlib.decompressobj(-15).decompress(data)


class Log:
    """What is kept: the file, and the chain value after each record in it."""

    def __init__(self, path, store_id):
        self.chains, self.seq = {0: store_id}, 0
        self.file = open(path, "a+b")
        self.file.seek(0)
        *lines, _ = self.file.read().split(b"\n")
        self.file.truncate(sum(len(line) + 1 for line in lines))
        for line in lines:
            self.follow(line.decode())

    def follow(self, text):
        """Takes the text into the chain. False where it does not follow on what is kept."""
        record = json.loads(text)
        seq, is_digest = record["seq"], record["kind"] == "digest"
        before = self.chains.get((record["fromSeq"] if is_digest else seq) - 1)
        if before is None:
            return False
        after = digits(before + text)
        if is_digest:
            after, seal = record["chainAfter"], record["seal"]
            unsealed = text.replace(f'"seal":"{seal}"', '"seal":""')
            if record["chainBefore"] != before or digits(before + unsealed) != seal:
                return False
        self.chains[seq], self.seq = after, seq
        return True

    def add(self, texts, chain):
        """Takes what is new of a frame: all of it, or nothing when its chain does not hold."""
        kept = self.seq
        new = [text for text in texts if json.loads(text)["seq"] > kept]
        if all(self.follow(text) for text in new) and self.chains[self.seq] == chain:
            self.file.write("".join(text + "\n" for text in new).encode())
            self.file.flush()
            return True
        self.seq = kept
        return False


class Client:
    def __init__(self, line):
        self.line, self.id = line, random.randrange(2**30)

    def ask(self, method, params):
        self.id += 1
        request = {"jsonrpc": "2.0", "id": self.id, "method": method, "params": params}
        self.line.send(json.dumps(request).encode())

    def call(self, method, params):
        for _ in range(TRIES):
            self.ask(method, params)
            until = time.monotonic() + SILENCE_S
            while (payload := self.line.payload(until)) is not None:
                if payload[:1] == b"{" and json.loads(payload).get("id") == self.id:
                    return json.loads(payload)["result"]
        sys.exit(2)

    def pull(self, log, durable):
        transfer, parts, tries, reads = 1, b"", 0, True
        while log.seq < durable and tries < TRIES:
            if reads:
                self.ask("log.cancel", {"transfer": transfer})
                transfer, parts = 3 - transfer, b""
                first = log.seq + 1
                self.ask("log.read", {"transfer": transfer, "from": first, "frames": FRAMES})
            payload = self.line.payload(time.monotonic() + SILENCE_S)
            reads = payload is None
            if reads:
                tries += 1
            elif payload[0] == 0x7B:
                message = json.loads(payload)
                pause = message["params"] if message.get("method") == "log.pause" else {}
                if pause.get("transfer") == transfer and pause["why"] == "credit":
                    self.ask("log.more", {"transfer": transfer, "frames": FRAMES})
                elif pause.get("transfer") == transfer:
                    reads, tries = True, tries + 1
            elif Bytes(payload[1:]).varint() == transfer:
                good, parts = self.take(payload, log, parts)
                reads, tries = not good, 0 if good else tries + 1
        return log.seq >= durable

    @staticmethod
    def take(payload, log, parts):
        """Whether the frame follows on what is kept, and the parts of a large record so far."""
        frame = Bytes(payload)
        kind, _, first, last = (frame.varint() for _ in range(4))
        if kind == 1:
            chain = frame.take(16).hex()
            texts = texts_of(inflated(payload[frame.at :]), first)
            return last <= log.seq or (first <= log.seq + 1 and log.add(texts, chain)), parts
        offset, total, chain = last, frame.varint(), frame.take(16).hex()
        if offset != len(parts):
            return False, b""
        parts += payload[frame.at :]
        if len(parts) < total:
            return True, parts
        return first <= log.seq or log.add([inflated(parts).decode()], chain), b""


def main(port, path):
    client = Client(Line(port))
    hello = client.call("hello", {})
    if hello["protocol"] != 2:
        print(f"protocol {hello['protocol']}, not 2", file=sys.stderr)
        return 2
    log = Log(path, hello["storeId"])
    durable = client.call("status", {})["durableSeq"]
    whole = client.pull(log, durable)
    print(f"{log.seq} of {durable} records of {hello['storeId']}")
    return 0 if whole else 1


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
