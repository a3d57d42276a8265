#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""The app's texts are dealt out to its parts: one goes to the first that names an address in it, with
what a table points to; no table leaves the first but one that is known to be counted from 0; and
together the parts write what one did."""
import os
import struct
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
sys.path.insert(0, os.path.join(ROOT, "tools"))
sys.dont_write_bytecode = True
import wasm_data  # noqa: E402

OURS = "src/x/libnthtree_x.a(x.o)"
TEXTS = b"first\0later\0far away\0from a table\0"
AT = 1024
TABLE = AT + len(TEXTS) + 2  # aligned to 4: 1060
POINTED = TABLE + 4
LONE = POINTED + 64          # a table that the last part alone names
COUNTED = LONE + 64          # a table of the C library
DIGITS = COUNTED + 64        # one that is known to be counted from 0
UNSEEN = DIGITS + 64         # another, which no code is seen to name
MAP = [(AT, len(TEXTS), "<internal>:(.rodata)"), (TABLE, 4, f"{OURS}:(.rodata.table)"),
       (POINTED, 4, f"{OURS}:(.data.pointed)"), (LONE, 4, f"{OURS}:(.rodata.lone)"),
       (COUNTED, 4, "/usr/lib/libc.a(v.o):(.rodata.states)"),
       (DIGITS, 4, "/usr/lib/libc.a(r.o):(.rodata.ipio2)"),
       (UNSEEN, 4, f"{OURS}:(.rodata._ZZN2jsE13kCachedPowers)")]


def text(address):
    return "".join(f"\\{b:02x}" for b in address)


def part_with(addresses, data=()):
    """A part whose code names these addresses, as a constant and as an offset by turns."""
    code = " ".join(f"(drop (i32.load8_u (i32.const {a})))" if i % 2 else
                    f"(drop (i32.load8_u offset={a} (local.get 0)))" for i, a in enumerate(addresses))
    segments = " ".join(f'(data (i32.const {a}) "{text(content)}")' for a, content in data)
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "part")
        with open(path + ".wat", "w", encoding="ascii") as file:
            file.write(f'(module (memory 1) {segments} (func (export "f") (param i32) {code}))')
        subprocess.run(["wasm-as", path + ".wat", "-o", path + ".wasm"], check=True)
        with open(path + ".wasm", "rb") as file:
            return file.read()


def memory_of(parts):
    memory = bytearray(2048)
    for part in parts:
        for address, content in wasm_data.segments(part):
            memory[address:address + len(content)] = content
    return memory


def has(part, address, content):
    return memory_of([part])[address:address + len(content)] == content


def dealt(*named):
    words = struct.pack("<I", AT + TEXTS.index(b"from")), b"\1\2\3\4", b"\5\6\7\x08", b"\x09\x0a\x0b\x0c"
    words += b"\x0d\x0e\x0f\x10", b"\x11\x12\x13\x14"
    data = [(AT, TEXTS), *zip((TABLE, POINTED, LONE, COUNTED, DIGITS, UNSEEN), words)]
    parts = [part_with(addresses, () if i else data) for i, addresses in enumerate(named)]
    with tempfile.NamedTemporaryFile("w", suffix=".map", encoding="ascii") as file:
        file.writelines(f"{address:8x} {0:8x} {size:8x}         {where}\n"
                        for address, size, where in MAP)
        file.flush()
        return parts, wasm_data.deal_out(parts, file.name)


def wrongs():
    later = AT + TEXTS.index(b"later")
    before, after = dealt([AT], [later + 2, TABLE, DIGITS + 2], [LONE, DIGITS])
    first, visit, rest = after
    if memory_of(before) != memory_of(after):
        yield "together the parts write something else than one did"
    if not has(first, AT, b"first\0") or has(first, AT, b"first\0later"):
        yield "the first part has not its text, or more than that"
    if not has(visit, AT + 6, b"later\0"):
        yield "a text named in its middle did not come as a whole"
    if not has(rest, AT + TEXTS.index(b"far"), b"far away\0") or has(first, AT + 12, b"far"):
        yield "a text that no earlier part names is not with the last part alone"
    if not has(first, AT + TEXTS.index(b"from"), b"from a table\0"):
        yield "the text that a table points to did not come with the table"
    if has(first, DIGITS, b"\x0d\x0e\x0f\x10") or not has(rest, DIGITS, b"\x0d\x0e\x0f\x10"):
        yield "a table counted from 0 is not with the code that names it, or a number within it was read"
    # One counted from 1, or read from its end, is named by an address outside it.
    for at, content in ((LONE, b"\5\6\7\x08"), (COUNTED, b"\x09\x0a\x0b\x0c"),
                        (UNSEEN, b"\x11\x12\x13\x14")):
        if not has(first, at, content):
            yield f"the table at {at} left the first part: it would read as zeros"


found = list(wrongs())
print("\n".join(found))
print(f"{int(not found)} passed, {int(bool(found))} failed")
sys.exit(bool(found))
