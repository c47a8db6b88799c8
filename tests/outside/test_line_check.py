"""The check of the controller's lines against references from outside.

- Catalogue of Parametrised CRC Algorithms (Greg Cook), entry CRC-16/IBM-3740: width 16, polynomial
  0x1021, initial value 0xFFFF, nothing reflected, no final exclusive or, check value 0x29B1. The
  entry's values are from memory; that 0x29B1 is what they give for "123456789" is computed here.
- Python's binascii.crc_hqx: the same polynomial, by other people, in C.
- Burst errors: a CRC of 16 bits whose polynomial has a constant term finds every burst of up to 16
  bits (Peterson and Brown, "Cyclic Codes for Error Detection", Proceedings of the IRE, 1961; from
  memory). 0x11021 is divisible by x + 1, so it finds every odd number of wrong bits too.
"""

from __future__ import annotations

import binascii

from hypothesis import given, settings
from hypothesis import strategies as st

from showtime.figure import wire


def long_division(data: bytes) -> int:
    """The remainder by definition: divide, bit by bit, the message with sixteen noughts behind it;
    the initial value is the same as turning over the first sixteen bits."""
    bits = int.from_bytes(data + b"\0\0", "big")
    length = 8 * (len(data) + 2)
    bits ^= 0xFFFF << (length - 16)
    for place in range(length - 1, 15, -1):
        if bits >> place & 1:
            bits ^= 0x11021 << (place - 16)
    return bits


def test_the_check_value_of_the_catalogue():
    assert wire.crc(b"123456789") == 0x29B1
    assert long_division(b"123456789") == 0x29B1


@settings(derandomize=True, max_examples=500)
@given(st.binary(max_size=300))
def test_it_is_what_python_itself_computes(data):
    assert wire.crc(data) == binascii.crc_hqx(data, 0xFFFF)


@settings(derandomize=True, max_examples=100)
@given(st.binary(min_size=2, max_size=60))
def test_it_is_the_remainder_of_a_long_division(data):
    assert wire.crc(data) == long_division(data)


def test_no_burst_of_damage_up_to_sixteen_bits_is_overlooked():
    line = b"1 5 play 1 2 4200 DA99"
    assert wire.read(line) is not None
    whole = int.from_bytes(line, "big")
    for width in range(1, 17):
        for inside in {0, 1, (1 << max(width - 2, 0)) - 1}:
            burst = 1 if width == 1 else (1 << (width - 1)) | 1 | (inside << 1 & (1 << width) - 1)
            for place in range(8 * len(line) - width + 1):
                damaged = (whole ^ (burst << place)).to_bytes(len(line), "big")
                assert wire.read(damaged) is None, (damaged, width)
