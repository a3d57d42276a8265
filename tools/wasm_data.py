# SPDX-License-Identifier: Apache-2.0
"""Deals the app's texts out to the parts of its WebAssembly: wasm-split leaves all data with the first.

A text (the linker's map says where they stand) goes to the first part whose code names an address in
it, or that has data with such an address. What none before the last part names, the last part brings
along: its texts are written into memory when it is joined.

Tables of numbers stay with the first part, though some 7 KB of them are read later: one that is
counted from 1 or from 'A' is named by an address before its beginning, and where that is not seen it
would read as zeros, in the middle of advice, until its part has come. Two large ones of libraries
(COUNTED_FROM_0) go with the code that names where they begin, as each function does that reads them:
a number of the code that lies within one is there by chance. Where none names it, they stay as well.
"""
import bisect
import collections
import re
import struct
import subprocess
import tempfile

from wasm_parts import FEATURES, encoded, leb, listed, put_together, section, sections

DATA, DATA_COUNT = 11, 12  # numbers of a file's sections
GAP_MAX = 8     # bytes that are written once more rather than begin anew behind them
ADDRESS = re.compile(r"(?:i32\.const |offset=)(\d+)")
MAP_LINE = re.compile(r" *([0-9a-f]+) +[0-9a-f]+ +([0-9a-f]+) +(\S+):\((\.(?:ro)?data)(\S*)\)$")
# The C library's digits of 2/pi, for angles of hundreds of millions, and nlohmann's powers of ten,
# for numbers it writes: each is read in one function, by an index that is never below 0.
COUNTED_FROM_0 = re.compile(r"\.ipio2$|.*13kCachedPowers")
TEXTS = "<internal>"  # the linker's own piece: all texts, each once, and no NUL but at its end

Piece = collections.namedtuple("Piece", "start end is_text is_constant is_dealt")


def segments(part):
    """[(address, bytes)]"""
    content, found = section(part, DATA), []
    count, at = leb(content, 0)
    for _ in range(count):
        if content[at:at + 2] != b"\0\x41":  # always there, at an address that is a constant
            raise RuntimeError("data of a kind that wasm_data does not know")
        address, at = leb(content, at + 2)
        size, at = leb(content, at + 1)
        found.append((address, content[at:at + size]))
        at += size
    return found


def signed(value):
    """LEB128 as of a number with a sign."""
    out = bytearray()
    while value > 63:
        out.append(value & 127 | 128)
        value >>= 7
    return bytes(out + bytes([value]))


def with_segments(part, dealt):
    """The file with these data in place of its own."""
    entries = [b"\0\x41" + signed(address) + b"\x0b" + encoded(len(content)) + content
               for address, content in dealt]
    kept = [(kind, content) for kind, content in sections(part) if kind not in (DATA, DATA_COUNT)]
    return put_together(kept + [(DATA, listed(entries))] * bool(entries))


def pieces_of(map_path, memory):
    """In the order of their addresses."""
    pieces = []
    with open(map_path, encoding="utf-8", errors="replace") as file:
        for line in filter(None, map(MAP_LINE.match, file)):
            start, size, path, kind = int(line[1], 16), int(line[2], 16), line[3], line[4]
            end, constant = start + size, kind == ".rodata"
            while path == TEXTS and start < end:
                after = memory.index(0, start) + 1
                pieces.append(Piece(start, after, True, constant, True))
                start = after
            if start < end:
                pieces.append(Piece(start, end, False, constant, bool(COUNTED_FROM_0.match(line[5]))))
    return sorted(pieces)


def addresses_in(part):
    """Every number in the part's code that may be an address."""
    with tempfile.NamedTemporaryFile(suffix=".wasm") as file:
        file.write(with_segments(part, []))  # where data stand are numbers, too
        file.flush()
        text = subprocess.run(["wasm-dis", *FEATURES, file.name, "-o", "-"], check=True,
                              stdout=subprocess.PIPE).stdout.decode("utf-8", "replace")
    return set(map(int, ADDRESS.findall(text)))


class Dealer:
    def __init__(self, memory, pieces):
        self.memory, self.pieces = memory, pieces
        self.starts = [piece.start for piece in pieces]
        self.owners = {}  # index of a piece: number of a part

    def meant(self, address):
        """The index of the piece that has this address, in a list; none in an empty one."""
        at = bisect.bisect_right(self.starts, address) - 1
        if at < 0:
            return []
        piece = self.pieces[at]
        is_counted = piece.is_dealt and not piece.is_text
        return [at] if address < (piece.start + 1 if is_counted else piece.end) else []

    def give(self, part, indices):
        """These pieces and whatever they have addresses of, unless an earlier part has them."""
        waiting = list(indices)
        while waiting:
            index = waiting.pop()
            if index in self.owners:
                continue
            self.owners[index] = part
            piece = self.pieces[index]
            for at in range(-(-piece.start // 4) * 4, piece.end - 3, 4):
                waiting += self.meant(struct.unpack_from("<I", self.memory, at)[0])

    def runs(self, part, start, end, rest):
        """[(start, end)] of the part's bytes within a segment; what is in no piece is the first's."""
        owner = [0] * (end - start)
        fixed = [True] * (end - start)  # may be written once more at any time
        for index in range(max(0, bisect.bisect_right(self.starts, start) - 1), len(self.pieces)):
            piece = self.pieces[index]
            if piece.start >= end:
                break
            for at in range(max(piece.start, start), min(piece.end, end)):
                owner[at - start] = self.owners.get(index, rest)
                fixed[at - start] = piece.is_constant or part == 0
        found = []
        for at in (i for i, whose in enumerate(owner) if whose == part):
            if found and at - found[-1][1] <= GAP_MAX and all(fixed[found[-1][1]:at]):
                found[-1][1] = at + 1
            else:
                found.append([at, at + 1])
        return [(start + first, start + last) for first, last in found]


def deal_out(parts, map_path):
    """The parts, each with the texts that it is the first to need; the first with all else."""
    all_data = segments(parts[0])
    memory = bytearray(max(address + len(content) for address, content in all_data) + 1)
    for address, content in all_data:
        memory[address:address + len(content)] = content
    dealer = Dealer(memory, pieces_of(map_path, memory))
    last = {i for address in addresses_in(parts[-1]) for i in dealer.meant(address)}
    dealer.give(0, [i for i, piece in enumerate(dealer.pieces) if not piece.is_dealt])
    for number, part in enumerate(parts[:-1]):
        for address in addresses_in(part):
            dealer.give(number, dealer.meant(address))
    dealer.give(0, [i for i, piece in enumerate(dealer.pieces)
                    if not piece.is_text and i not in last])  # named by none
    return [with_segments(part, [
        (start, bytes(memory[start:end])) for address, content in all_data
        for start, end in dealer.runs(number, address, address + len(content), len(parts) - 1)])
        for number, part in enumerate(parts)]
