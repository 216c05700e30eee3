"""A hundred thousand signed entries: taken in, audited, their signatures verified.

Printed, never asserted. Times are seconds of one core of this machine (process time), so that what else it does counts
little; waiting for the disk is not in them. BENCH_ENTRIES takes another number.
"""

import os
import resource
import time

import pytest

from crew import Member
from witnessmark.records import log
from witnessmark.records.audit import audit
from witnessmark.records.database import db, writing
from witnessmark.records.entries import receive
from witnessmark.rules.entry import read_entry
from witnessmark.rules.signature import ENTRY_TYP, read_jws, verify

pytestmark = pytest.mark.bench
ENTRIES = int(os.environ.get("BENCH_ENTRIES", "100000"))
DELIVERY = 1000
ITEMS = ("surface", "grip", "bolts", "boom")


def figure(name, value):
    print(f"  {name:<58} {value}")


def rate(count, seconds):
    return f"{count / seconds:,.0f} a second ({seconds:.1f} s for {count:,})"


def test_a_hundred_thousand_entries(app, card, settings):
    with app.app_context():
        maria = Member("maria")
        first, taking_in = None, 0
        for start in range(0, ENTRIES, DELIVERY):
            maria.phone.checkpoint = log.checkpoint()
            texts = [maria.passes(card, ITEMS[number % 4], note=str(number))["text"]
                     for number in range(start, start + DELIVERY)]
            first = first or texts
            from_ = time.process_time()
            with writing() as session:
                answers, _, _ = receive(session, texts, maria.person, maria.phone.device)
            taking_in += time.process_time() - from_
            assert all(answer["verdict"] == "kept" for answer in answers)
        print()
        figure("taken in, deliveries of 1,000, on disk", rate(ENTRIES, taking_in))
        one_by_one(first, maria.phone.key_of(maria.person).jwk)
        proofs()
        from_ = time.process_time()
        for line in audit(None):
            now = time.process_time()
            figure(f"audit: {line.kind} ({line.checked:,} checked, {len(line.findings)} wrong)", f"{now - from_:.1f} s")
            assert line.findings == []
            from_ = now
        db.session.rollback()
    figure("database", f"{(settings.data / 'witnessmark.sqlite3').stat().st_size / 1e6:.0f} MB")
    figure("most memory of this process", f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def one_by_one(texts, jwk):
    """Signatures and whole entries on one core."""
    read = [read_jws(text, ENTRY_TYP) for text in texts]
    from_ = time.process_time()
    assert all(verify(one, jwk) for one in read)
    figure("signatures verified, one core", rate(len(read), time.process_time() - from_))
    from_ = time.process_time()
    for text in texts:
        read_entry(text)
    figure("entries read and checked, one core", rate(len(texts), time.process_time() - from_))


def proofs():
    """What a sync costs on a long log."""
    size = log.size()
    from_ = time.process_time()
    for number in range(200):
        log.note()
        log.consistency(1 + number * size // 201)
    figure(f"checkpoint and proof, log of {size:,}", f"{(time.process_time() - from_) / 200 * 1000:.1f} ms")
