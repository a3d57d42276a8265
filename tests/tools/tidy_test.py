# SPDX-License-Identifier: Apache-2.0
"""Each rule of tools/tidy is shown a small project that breaks it and one that keeps it."""
import importlib.machinery
import importlib.util
import os
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
loader = importlib.machinery.SourceFileLoader("tidy", os.path.join(ROOT, "tools", "tidy"))
sys.dont_write_bytecode = True
tidy = importlib.util.module_from_spec(importlib.util.spec_from_loader("tidy", loader))
loader.exec_module(tidy)

HEAD = "// SPDX-License-Identifier: Apache-2.0\n"

# name: (files, a piece of the offence expected or None where all is well)
CASES = {
    "an include against the arrows is found": (
        {"src/stats/a.h": HEAD + '#include "ledger/record.h"\n'}, "stats may not include ledger"),
    "an include along the arrows is fine": (
        {"src/advice/a.h": HEAD + '#include "base/result.h"\n'}, None),
    "a header that is nobody else's is not included from outside": (
        {"src/screens/a.h": HEAD + '#include "advice/internal/current.h"\n'}, "nobody else's"),
    "its own folder may include it": (
        {"src/advice/internal/a.h": HEAD + '#include "advice/internal/current.h"\n'}, None),
    "a header that everybody includes does not hand it on": (
        {"src/advice/a.h": HEAD + '#include "advice/internal/current.h"\n'}, "handed what is internal"),
    "an entry passed over by hand is found": (
        {"src/screens/a.h": HEAD + "if (entry.withdrawn) continue;\n"}, "current.h alone"),
    "a word of a language is no filter": (
        {"src/advice/a.h": HEAD + 'auto t = "phones.withdrawn";\n'}, None),
    "a clock in the engine is found": (
        {"src/stats/a.h": HEAD + "auto t = std::chrono::system_clock::now();\n"}, "base/clock.h"),
    "a banned word in a comment is fine": (
        {"src/stats/a.h": HEAD + "// not std::chrono::system_clock\n"}, None),
    "a throw in the engine is found": (
        {"src/sync/a.h": HEAD + "inline void f() { throw 1; }\n"}, "no exception"),
    "a browser word outside the platform file is found": (
        {"src/screens/a.h": HEAD + "#ifdef __EMSCRIPTEN__\n#endif\n"}, "platform_web"),
    "a header too long is found": ({"src/base/a.h": HEAD + "\n" * 250}, "251 lines"),
    "a header at its limit is fine": ({"src/base/a.h": HEAD + "\n" * 249}, None),
    "a function too long is found": (
        {"src/base/a.h": HEAD + "inline void f() {\n" + "  ;\n" * 60 + "}\n"}, "function of 62"),
    "a long class of short functions is fine": (
        {"src/base/a.h": HEAD + "struct A {\n" + "  int f() { return 1; }\n" * 70 + "};\n"}, None),
    "a line too wide is found": ({"src/base/a.h": HEAD + "// " + "x" * 98 + "\n"}, "101 columns"),
    "a missing licence line is found": ({"src/base/a.h": "int x;\n"}, "licence"),
    "a name that says nothing is found": ({"src/base/text_utils.h": HEAD}, "says nothing"),
    "a source in no list is found": ({"src/hub/a.cpp": HEAD}, "no CMake list"),
    "a source in its list is fine": (
        {"src/hub/a.cpp": HEAD, "src/hub/CMakeLists.txt": "nthtree_library(hub FILES a.cpp)\n"},
        None),
    "an engine file without a test twin is found": (
        {"src/stats/a.cpp": HEAD, "src/stats/a.h": HEAD,
         "src/stats/CMakeLists.txt": "nthtree_library(stats FILES a.cpp)\n"}, "test twin"),
    "a language that lacks a key is found": (
        {"assets/languages/en.json": '{"a":"x","b":"y"}', "assets/languages/es.json": '{"a":"x"}'},
        "es.json: lacks b"),
    "a French line that may break before its question mark is found": (
        {"assets/languages/en.json": '{"a":"x"}', "assets/languages/fr.json": '{"a":"Où ?"}'},
        "a has a plain space"),
    "a French question mark held by its space is fine": (
        {"assets/languages/en.json": '{"a":"x"}',
         "assets/languages/fr.json": '{"a":"Où\u00a0?"}'}, None),
    "a key used and defined nowhere is found": (
        {"assets/languages/en.json": '{"a":"x"}', "src/screens/a.h": HEAD + 'auto t = tr("b");\n'},
        "defined nowhere: b"),
    "a dead link is found": ({"README.md": "# T\n[x](gone.md)\n"}, "dead link gone.md"),
    "a page that quotes a name which is gone is found": (
        {"README.md": "# T\n`old_name(x)` does it.\n", "src/base/a.h": HEAD + "int new_name;\n",
         "src/base/README.md": "# T\n## Files\n`a`\n"}, "quotes old_name"),
    "a page may quote what stands in the code": (
        {"README.md": "# T\n`new_name` does it, `SELECT` too.\n",
         "src/base/a.h": HEAD + "int new_name;\n", "src/base/README.md": "# T\n## Files\n`a`\n"},
        None),
    "a page that names a file that is gone is found": (
        {"src/base/README.md": "# T\n## Files\n| `gone.h` | what |\n"}, "names gone.h"),
    "a page that leaves out a header is found": (
        {"src/base/README.md": "# T\n## Files\n| `a.h` | what |\n", "src/base/a.h": HEAD,
         "src/base/b.h": HEAD}, "does not name b.h"),
    "a page that names a header's folder, or its stem, is fine": (
        {"src/base/README.md": "# T\n## Files\n`inner/` holds all but `a`.\n",
         "src/base/a.h": HEAD, "src/base/inner/b.h": HEAD}, None),
    "a head that speaks of a file that is gone is found": (
        {"src/base/a.h": HEAD + "//\n// Not here: fading (advice/known/gone.h).\n"},
        "speaks of advice/known/gone.h"),
    "a head may speak of a file by its name, and of files that a call makes": (
        {"src/base/a.h": HEAD + "// See b.h.\n//   save(\"c.md\", mirror.json());\n",
         "src/base/b.h": HEAD, "src/base/README.md": "# T\n## Files\n`a`, `b`\n"}, None),
    "two titles are found": ({"README.md": "# T\n# U\n"}, "2 titles"),
    "a stranger at the top is found": ({"notes.txt": "x"}, "top level"),
}


def run_case(files):
    with tempfile.TemporaryDirectory() as root:
        subprocess.run(["git", "init", "-q", root], check=True)
        for name, text in files.items():
            os.makedirs(os.path.dirname(os.path.join(root, name)) or root, exist_ok=True)
            with open(os.path.join(root, name), "w", encoding="utf-8") as file:
                file.write(text)
        return tidy.offences(root)


def main():
    passed = failed = 0
    for name, (files, expected) in CASES.items():
        found = run_case(files)
        good = not found if expected is None else any(expected in line for line in found)
        passed, failed = passed + good, failed + (not good)
        if not good:
            print(f"not ok: {name}: expected {expected!r}, found {found}")
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed else 0)


main()
