# SPDX-License-Identifier: Apache-2.0
"""Reads the functions of a WebAssembly file and splits it in two by a list of names.

The list (src/shell/first_visit.txt) has a line for each function of a first visit: its name without
types and arguments, so that a change of a signature does not lose it. Of a name that many functions
share (templates of the C++ library) the line names the wanted ones by a check sum of the whole name;
where none of them is left, all of the name are meant.
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


def imported_functions(data):
    count, at = leb(data, 0)
    functions = 0
    for _ in range(count):
        for _ in range(2):
            length, at = leb(data, at)
            at += length
        kind = data[at]
        at += 1
        if kind == 0:
            functions += 1
            _, at = leb(data, at)
        elif kind == 1:
            at = skip_limits(data, at + 1)
        elif kind == 2:
            at = skip_limits(data, at)
        else:
            at += 2
    return functions


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


def split(path, list_path):
    """(bytes of the first part, of the rest, lines of the list that mean nothing any more)"""
    keep, stale = wanted_names(functions_of(path), read_list(list_path))
    with tempfile.TemporaryDirectory() as folder:
        names, parts = os.path.join(folder, "keep"), []
        with open(names, "w", encoding="ascii") as file:
            file.write("\n".join(map(escaped, keep)))
        outputs = [os.path.join(folder, name) for name in ("first.wasm", "rest.wasm")]
        run("wasm-split", *FEATURES, path, f"--keep-funcs=@{names}", "--export-prefix=%",
            "-o1", outputs[0], "-o2", outputs[1])
        for output in outputs:
            run("wasm-opt", *FEATURES, "--strip-debug", output, "-o", output)
            with open(output, "rb") as file:
                parts.append(file.read())
    return parts[0], parts[1], stale
