# SPDX-License-Identifier: Apache-2.0
"""Reads the functions of a WebAssembly file and splits it in three by two lists of names.

The lists (src/shell/first_screen.txt, first_visit.txt) have a line for each function that comes
first, or next: its name without types and arguments, so that a change of a signature does not lose
it. Of a name that many functions share (templates of the C++ library) the line names the wanted ones
by a check sum of the whole name; where none of them is left, all of the name are meant.

wasm-split makes two of one; what it left for later is split again. A part imports what the parts
before it export, and for a call into a later part there is a stand-in, imported by its place in the
table from a namespace named by that part's first letter (web/parts.js).
"""
import collections
import os
import re
import string
import subprocess
import tempfile
import zlib

# What the browser may call at any moment (focus, size, a key), whether or not it did on that visit.
AT_ANY_MOMENT = re.compile(
    r"Emscripten_Handle|SDL_(Send|OnWindow|SetKeyboardFocus|SetMouseFocus)|"
    r"nthtree::app::App::(on_|load_again)")
IMPORTS, TABLES, EXPORTS = 2, 4, 7  # numbers of a file's sections
HANDED_ON = b"%"  # begins the names of what parts hand each other
LETTERS = (string.ascii_letters + string.digits).encode()
SHARED_FROM = 2  # functions of one bare name from which on a line says which
ID_CHARACTERS = set(string.ascii_letters + string.digits + "!#$%&'*+-./:<=>?@^_`|~")
FEATURES = ["--enable-bulk-memory", "--enable-sign-ext", "--enable-mutable-globals",
            "--enable-reference-types"]


def leb(data, at):
    value = shift = 0
    while True:
        byte = data[at]
        at += 1
        value |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            return value, at


def sections(data):
    at = 8
    while at < len(data):
        kind = data[at]
        size, at = leb(data, at + 1)
        yield kind, data[at:at + size]
        at += size


def skip_limits(data, at):
    flags, at = leb(data, at)
    _, at = leb(data, at)
    return leb(data, at)[1] if flags & 1 else at


def end_of_import(data, at):
    """Where an import's entry ends whose kind stands at `at`."""
    kind = data[at]
    if kind == 0:
        return leb(data, at + 1)[1]
    if kind == 3:
        return at + 3
    return skip_limits(data, at + (2 if kind == 1 else 1))


def imported_functions(data):
    return sum(rest[0] == 0 for _, _, rest in imports_of(data))


def bodies(data):
    count, at = leb(data, 0)
    for _ in range(count):
        size, start = leb(data, at)
        yield data[at:start + size]
        at = start + size


def function_names(data):
    length, at = leb(data, 0)
    if data[at:at + length] != b"name":
        return {}
    at += length
    while at < len(data):
        kind = data[at]
        size, at = leb(data, at + 1)
        if kind != 1:
            at += size
            continue
        names = {}
        count, at = leb(data, at)
        for _ in range(count):
            index, at = leb(data, at)
            length, at = leb(data, at)
            names[index] = data[at:at + length].decode()
            at += length
        return names
    return {}


def functions_of(path):
    """[(name, body)] in the file's order; "?" where it has no names."""
    with open(path, "rb") as file:
        data = file.read()
    first, names, code = 0, {}, []
    for kind, content in sections(data):
        if kind == 2:
            first = imported_functions(content)
        elif kind == 10:
            code = list(bodies(content))
        elif kind == 0:
            names = names or function_names(content)
    return [(names.get(first + i, "?"), body) for i, body in enumerate(code)]


def bare(name):
    """The name without template arguments, parameters and what it returns."""
    for sign, word in (("(anonymous namespace)", "@"), ("operator()", "operator_call"),
                       ("operator->", "operator_arrow"), ("operator<<", "operator_shl"),
                       ("operator<", "operator_less"), ("operator>", "operator_greater")):
        name = name.replace(sign, word)
    kept, depth = [], 0
    for c in name:
        depth += (c in "<({[") - (c in ">)}]")
        if depth == 0 and c not in ">)}]":
            kept.append(c)
    return "".join(kept)


def check_sum(name):
    return f"{zlib.crc32(name.encode()):08x}"


def write_list(path, functions, used):
    """The list for `used`, indices into functions."""
    by_name = collections.defaultdict(list)
    for i, (name, _) in enumerate(functions):
        by_name[bare(name)].append(i)
    lines = []
    for name, alike in sorted(by_name.items()):
        wanted = [i for i in alike if i in used]
        if not wanted:
            continue
        some = len(alike) >= SHARED_FROM and len(wanted) < len(alike)
        sums = [check_sum(functions[i][0]) for i in wanted] if some else []
        lines.append("\t".join([name, *sorted(sums)]) + "\n")
    with open(path, "w", encoding="utf-8") as file:
        file.writelines(lines)


def read_list(path):
    """{bare name: check sums, empty for all}"""
    with open(path, encoding="utf-8") as file:
        lines = [line.rstrip("\n").split("\t") for line in file]
    return {name: set(sums) for name, *sums in lines}


def wanted_names(functions, wanted):
    """The whole names that a list means, and how many of its lines mean nothing any more."""
    by_name = collections.defaultdict(list)
    for name, _ in functions:
        by_name[bare(name)].append(name)
    keep, stale = [name for name, _ in functions if AT_ANY_MOMENT.match(name)], 0
    for name, sums in wanted.items():
        alike = by_name.get(name, [])
        some = [whole for whole in alike if check_sum(whole) in sums]
        keep += some or alike
        stale += not alike
    return keep, stale


def escaped(name):
    """As the WebAssembly tools write a name that has other characters than an identifier's."""
    return "".join(chr(b) if chr(b) in ID_CHARACTERS else f"\\{b:02x}" for b in name.encode())


def run(*words):
    done = subprocess.run(words, capture_output=True, text=True)
    if done.returncode != 0:
        raise RuntimeError(f"{words[0]}: {done.stderr or done.stdout}")


def encoded(value):
    out = bytearray()
    while value > 127:
        out.append(value & 127 | 128)
        value >>= 7
    return bytes(out + bytes([value]))


def named(text):
    return encoded(len(text)) + text


def text_at(data, at):
    length, at = leb(data, at)
    return data[at:at + length], at + length


def imports_of(data):
    """[(module, name, the rest of the entry)]"""
    count, at = leb(data, 0)
    entries = []
    for _ in range(count):
        module, at = text_at(data, at)
        name, start = text_at(data, at)
        at = end_of_import(data, start)
        entries.append((module, name, data[start:at]))
    return entries


def exports_of(data):
    """[(name, kind and index)]"""
    count, at = leb(data, 0)
    entries = []
    for _ in range(count):
        name, start = text_at(data, at)
        _, at = leb(data, start + 1)
        entries.append((name, data[start:at]))
    return entries


def put_together(parts):
    return b"\0asm\1\0\0\0" + b"".join(
        bytes([kind]) + encoded(len(content)) + content for kind, content in parts)


class Names:
    """Short names for what the parts hand each other: with names of functions in a file, which the
    second split asks for, wasm-split makes long ones."""

    def __init__(self):
        self.short = {}

    def of(self, name):
        if not name.startswith(HANDED_ON):
            return name
        number, text = self.short.setdefault(name, len(self.short)), b""
        while number or not text:
            text = LETTERS[number % len(LETTERS):][:1] + text
            number //= len(LETTERS)
        return HANDED_ON[:1] + text


def renamed(data, names, elsewhere, table, later):
    """The file with short names for what parts hand each other and for where it is from (the first
    letter of the `later` part or of "primary"), a table as large as the last part asks for, and
    without exports that stand elsewhere: {name: what it is called where it is from}."""
    shortened = {name: name[:1] for name in [b"primary", *map(str.encode, later)]}
    parts = []
    for kind, content in sections(data):
        if kind == IMPORTS:
            content = listed(named(shortened.get(module, module)) +
                             named(names.of(elsewhere.get(name, name))) + rest
                             for module, name, rest in imports_of(content))
        elif kind == EXPORTS:
            content = listed(named(names.of(name)) + rest for name, rest in exports_of(content)
                             if name not in elsewhere)
        elif kind == TABLES:
            content = encoded(1) + table
        parts.append((kind, content))
    return put_together(parts)


def listed(entries):
    entries = list(entries)
    return encoded(len(entries)) + b"".join(entries)


def section(data, wanted):
    return next((content for kind, content in sections(data) if kind == wanted), b"\0")


def passed_on(data):
    """{export: import} of what a part exports only because a part before it has it."""
    kinds = collections.defaultdict(list)
    for _, name, rest in imports_of(section(data, IMPORTS)):
        kinds[rest[0]].append(name)
    found = {}
    for name, what in exports_of(section(data, EXPORTS)):
        index, _ = leb(what, 1)
        if index < len(kinds[what[0]]):
            found[name] = kinds[what[0]][index]
    return found


def split_once(path, keep, prefix, later, outputs):
    with tempfile.NamedTemporaryFile("w", encoding="ascii") as file:
        file.write("\n".join(map(escaped, keep)))
        file.flush()
        run("wasm-split", *FEATURES, "-g", path, f"--keep-funcs=@{file.name}",
            f"--export-prefix={HANDED_ON.decode()}{prefix}", f"--placeholder-namespace={later}",
            "-o1", outputs[0], "-o2", outputs[1])


def split(path, list_paths, part_names):
    """(the parts' bytes, how many lines of the lists mean nothing any more); part_names: of the
    later ones."""
    functions, keep, stale, parts = functions_of(path), [], 0, []
    with tempfile.TemporaryDirectory() as folder:
        outputs, rest = [], path
        for list_path, later in zip(list_paths, part_names):
            wanted, idle = wanted_names(functions, read_list(list_path))
            keep, stale = keep + wanted, stale + idle
            outputs += [os.path.join(folder, f"before_{later}"), os.path.join(folder, later)]
            split_once(rest, keep, len(outputs), later, outputs[-2:])
            rest = outputs[-1]
        for output in [*outputs[::2], rest]:
            run("wasm-opt", *FEATURES, "--strip-debug", output, "-o", output)
            with open(output, "rb") as file:
                parts.append(file.read())
    names, elsewhere = Names(), passed_on(parts[1])
    table = next(rest[1:] for _, _, rest in imports_of(section(parts[-1], IMPORTS)) if rest[0] == 1)
    return [renamed(part, names, {} if i == 0 else elsewhere, table, part_names)
            for i, part in enumerate(parts)], stale
