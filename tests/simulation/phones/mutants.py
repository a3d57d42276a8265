#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Plants faults in the source of sync, ledger and advice, one at a time, and runs the unit tests on
each; on sync the farms, too.

A mutant that nothing notices means that a promise is not tested. Works on a copy of the source in
a folder of its own; the source itself is never touched. Writes the table in README.md beside this
file. The last line is "N passed, N failed".

  tools/simulate --mutants          all; or of a module, or of a file:
  tools/simulate --mutants ledger sync/merge.cpp
"""
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile

# module, file, what stands there, what the fault makes of it, what it breaks
MUTANTS = [
    ("sync", "client_take.cpp", "storing.incoming.cursor.value_or(cursor_)", "cursor_",
     "the stored cursor never moves"),
    ("sync", "client_take.cpp", "    cursor_ = *storing.incoming.cursor;\n", "",
     "the cursor in memory never moves"),
    ("sync", "client_take.cpp", "!admission.drops.empty() || conflict", "false",
     "the season is not made anew after a conflict"),
    ("sync", "client_take.cpp",
     "if (own_unknown || (conflict && is_vouched && id->device == device_)) want_key();", "",
     "a clone is noticed by the hub's word only"),
    ("sync", "client_take.cpp", "    incoming_.push_front(std::move(storing.incoming));\n", "",
     "what a full disk refused is forgotten"),
    ("sync", "client_take.cpp", "if (id && writing_.count(*id)) return true;", "",
     "a page overwrites a record that is being written"),
    ("sync", "client_take.cpp",
     "    needs_hello_ = true;  // it was set back: it may lack records of ours\n", "",
     "a hub set back is asked for its gaps a minute late (harmless: hello comes anyway)"),
    ("sync", "client_send.cpp", "  want(added_since_hello_);\n", "",
     "a count made while a hello is on its way is forgotten"),
    ("sync", "client_send.cpp", "  want(reply->missing);\n", "", "what the hub lacks is not sent"),
    ("sync", "client_send.cpp", "    tell(Notice::Kind::hub_set_back);\n", "",
     "nobody is told that the hub came back from a backup"),
    ("sync", "client_send.cpp", "if (asked.device != device_) return;", "",
     "a new key is told the old key's marks"),
    ("sync", "client.cpp", "  lane.request = 0;\n  const int doublings", "  const int doublings",
     "a lane stays blocked after a time-out"),
    ("sync", "client.cpp",
     "    it = pending_.erase(it);  // a later answer finds nobody waiting\n", "    ++it;\n",
     "a request given up is given up again and again"),
    ("sync", "client.cpp", "ledger::json_quoted(bearer_)", "std::string(\"\\\"\\\"\")",
     "the hub's key is not stored"),
    ("sync", "client.cpp",
     "lane == Lane::join ? \"\" : bearer_", "\"\"", "requests do not bear the key"),
    ("sync", "client_take.cpp", "storing.has_key && ", "",
     "having joined is told before the key is on the disk"),
    ("sync", "client.cpp", "store_.highest_used(device_)", "store_.held_of(device_).highest()",
     "a used number is given again"),
    ("sync", "client.cpp", "  note_unsent(id, now);\n  if (send_lane_", "  if (send_lane_",
     "a stored count is not queued"),
    ("sync", "merge.cpp", "        admission.drops.push_back(moved);\n", "",
     "a record that has its id again stays under the other one too"),
    ("sync", "merge.cpp", "keeps_id(bytes, *held)", "false", "who comes first keeps the id"),
    ("sync", "merge.cpp", "rank != held_rank ? rank > held_rank : keeps_id", "keeps_id",
     "hearsay may take the id of what its owner brought"),
    ("sync", "merge.cpp", "rank == Rank::owned || stands_there", "rank == Rank::owned",
     "a re-homed form moves what stands undisputed"),
    ("sync", "hub_trust.cpp",
     "  if (sender.role < facts.needed) return std::string(aside_role);\n", "",
     "every key may write everything"),
    ("sync", "hub_trust.cpp", "? Rank::owned\n", "? Rank::owned : true ? Rank::owned\n",
     "what anybody brings is its owner's"),
    ("sync", "hub_trust.cpp", "  if (within(facts.stamp.at_ms)) return 0;\n", "  return 0;\n",
     "a stamp may claim what it likes"),
    ("sync", "hub_side.cpp", "own ? owned_ : held_", "held_",
     "an owner is not asked for what others claim to have of it"),
    ("sync", "hub_side.cpp", "asked.opening == store.opening_of(asked.arrival)", "true",
     "a hub set back by hand takes old cursors for its own"),
    ("sync", "hub_side.cpp", "asked.epoch == epoch && ", "", "another epoch's cursor is taken"),
    ("sync", "hub_side.cpp", "page.back().arrival < last_arrival", "false",
     "the phone is told that there is no more (harmless: it asks again in 20 s)"),
    ("sync", "hub_side.cpp",
     "  store_.drop(dropped);\n", "  \n", "a moved record stays on the hub's disk"),
    ("sync", "message.cpp", "  if (f.count(\"bytes\") != line_bytes(m.lines)) "
     "f.fail(\"bytes\", \"must be those of the lines\");\n", "",
     "a message cut short passes for a whole one"),
    ("ledger", "season.cpp", "if (std::next(position) == all.end()) keep(body);", "keep(body);",
     "an older word on the farm, a block or a person beats a newer one"),
    ("ledger", "season.cpp",
     "if (!withdraws && by.body.index() != seat.kind) return;  // a count cannot become advice", "",
     "a count is replaced by advice"),
    ("ledger", "season.cpp", "!replaced.latest || *replaced.latest < position", "true",
     "the last correction to arrive says whether a count stands"),
    ("ledger", "season.cpp", "    waiting_.emplace(*record.replaces, record);\n", "",
     "a correction that comes before its count is forgotten"),
    ("ledger", "season.cpp", "      arrived.push_back(record.id);\n", "",
     "a correction of a correction that came first is forgotten"),
    ("ledger", "record.cpp", "if (version == wire::version) {", "{",
     "a later version of a kind is read as today's"),
    ("ledger", "fields.cpp", "if (!range.holds(number)) {", "if (false) {",
     "a number out of its range is read"),
    ("ledger", "fields.cpp", "if (!range.holds(value)) fail(", "if (false) fail(",
     "a number out of its range is written"),
    ("ledger", "ledger.cpp",
     "? Added::already_held : Added::conflict",
     "? Added::already_held : Added::already_held",
     "two records under one id pass for one"),
    ("advice", "judged/verdict.cpp",
     "if (over != under) return over ?", "if (over != under) return under ?",
     "harder and lighter are exchanged"),
    ("advice", "judged/verdict.cpp",
     "if (!over && tells_clear(sides.harder, e, 1) && tells_clear(sides.lighter, e, -1)) {",
     "if (!over && tells_clear(sides.harder, e, 1)) {",
     "on target is told without looking at the side of too few"),
    ("advice", "advisor.cpp",
     "if (change.added != ledger::body_index<ledger::TagCount>) return false;", "",
     "a correction beside a new count is overlooked"),
    ("advice", "advisor.cpp", "if (change.position < held.last_tag) return false;", "",
     "a late count is taken for a new one"),
    ("advice", "internal/counting_tally.cpp",
     "      if (ledger::stands(entry)) take_tag(season, entry);",
     "      take_tag(season, entry);", "a count taken back still says how somebody counts"),
    ("ledger", "current.h", "while (at_ != end_ && !is_current(*at_)) ++at_;", "",
     "what was taken back is judged all the same"),
    ("ledger", "change_log.h", "revision > revision_ || revision_ - revision > kept",
     "revision > revision_", "changes that are no longer known are taken for known"),
    ("ledger", "clock_of_device.cpp", "std::min(stamp, Stamp{wall_ms + ahead_ms_max, 0})", "stamp",
     "one phone's wild clock takes every other one along"),
    ("ledger", "authority.cpp", "Role needed(const CheckCount&) { return Role::lead; }",
     "Role needed(const CheckCount&) { return Role::pruner; }", "anybody may re-count"),
    ("ledger", "written_ahead.cpp", "if (!is_new && phone.first_ms <= position.stamp.at_ms) return;",
     "if (!is_new) return;", "since when a clock runs ahead is told wrong"),
    ("ledger", "season_span.cpp", "120 * base::day_ms", "12000 * base::day_ms",
     "two seasons are taken for one"),
    ("ledger", "record_id.cpp", "if (!device || text[33] == '0') return std::nullopt;",
     "if (!device) return std::nullopt;", "one record has two names"),
    ("advice", "known/planting.cpp", "return last - first + 1 - static_cast<int>(",
     "return last - first + 1 + 0 * static_cast<int>(", "gaps are counted as trees"),
    ("advice", "known/floral.cpp", "result.buds < 30", "result.buds < 3",
     "a handful of buds passes for enough"),
    ("advice", "known/rows_pruned.cpp", "if (trees <= trees_a_day_most) continue;", "continue;",
     "somebody in two places at once is not noticed"),
    ("advice", "known/exercise_progress.cpp", "if (entry.body.exercise != id) return;", "",
     "two exercises are taken for one"),
    ("advice", "judged/acceptance.cpp", "if (done.counts < counts_needed) done.kind",
     "if (false) done.kind", "a block is accepted on too few counts"),
    ("advice", "next/next_tree.cpp",
     "if (standing.counts == 0 && standing.counts_before == 0) return {close, \"next_first\"};", "",
     "the first tree is not near"),
    ("advice", "next/recount_worklist.cpp", "a.count->at_ms > b.count->at_ms",
     "a.count->at_ms < b.count->at_ms", "old tags are re-counted before new ones"),
    ("advice", "next/sampling_plan.cpp", "if (stride == 1) return std::nullopt;",
     "if (stride >= 1) return std::nullopt;", "no stride is ever warned of"),
    ("advice", "review/decisions.cpp", "if (is_off(day)) open.push_back", "if (false) open.push_back",
     "a block that is off needs no decision"),
]
# What judges a module's faults.
TARGETS = {"sync": ["simulate", "test_sync"], "ledger": ["test_ledger"], "advice": ["test_advice"]}
HARMLESS = "(harmless"
BROKEN = "it does not compile"  # says nothing of the tests: the list is out of date

# Of processor time: a fault may make an endless loop; sound, it takes seconds. A busy machine must
# not pass for one.
PATIENCE_SECONDS = 120


def run(command, folder=None, patience=None):
    def limited():
        if patience:
            resource.setrlimit(resource.RLIMIT_CPU, (patience, patience))
    try:
        return subprocess.run(command, cwd=folder, stdout=subprocess.PIPE, text=True,
                              stderr=subprocess.STDOUT, errors="replace", preexec_fn=limited,
                              timeout=20 * patience if patience else None)
    except subprocess.TimeoutExpired:  # it waits for what never comes
        return subprocess.CompletedProcess(command, 1, "endless")


def main():
    root = os.path.abspath(sys.argv[1])
    with tempfile.TemporaryDirectory(prefix="nthtree-mutants-") as work:
        copy = os.path.join(work, "source")
        shutil.copytree(root, copy, ignore=shutil.ignore_patterns("build", ".git", "node_modules"))
        # The libraries that tools/setup fetched are asked for although nothing here needs them.
        os.makedirs(os.path.join(copy, "build"))
        os.symlink(os.path.join(root, "build", "sources"), os.path.join(copy, "build", "sources"))
        allow_warnings(copy)
        build = os.path.join(copy, "build", "native")
        asked = sys.argv[3:] or list(TARGETS)
        wanted = [mutant for mutant in MUTANTS
                  if mutant[0] in asked or f"{mutant[0]}/{mutant[1]}" in asked]
        targets = sorted({target for mutant in wanted for target in TARGETS[mutant[0]]})
        for command in (["cmake", "--preset", "native"],
                        ["cmake", "--build", build, "--target", *targets]):
            first = run(command, copy)
            if first.returncode != 0:
                sys.exit(first.stdout + "\n0 passed, 1 failed")
        passed = failed = 0
        rows = []
        for module, file_name, old, new, what in wanted:
            name = f"{module}/{file_name}"
            path = os.path.join(copy, "src", name)
            with open(path, encoding="utf-8") as file:
                sound = file.read()
            if old not in sound:
                print(f"FAIL {name}: the place is gone: {old.strip()}", flush=True)
                failed += 1
                continue
            with open(path, "w", encoding="utf-8") as file:
                file.write(sound.replace(old, new))
            noticed = judge(build, module)
            with open(path, "w", encoding="utf-8") as file:
                file.write(sound)
            good = noticed != BROKEN and (bool(noticed) or HARMLESS in what)
            print(f"{' ok ' if good else 'FAIL'} {name}: {what}: {noticed or 'not noticed'}",
                  flush=True)
            rows.append(f"| `{name}` | {what} | {noticed or 'not noticed'} |")
            passed += good
            failed += not good
        if len(wanted) == len(MUTANTS):
            write_table(root, rows)
        print(f"{passed} passed, {failed} failed")
        sys.exit(0 if failed == 0 else 1)


def allow_warnings(copy):
    """A fault often leaves something unused: that the compiler warns of it says nothing of tests."""
    lists = os.path.join(copy, "CMakeLists.txt")
    with open(lists, encoding="utf-8") as file:
        text = file.read()
    with open(lists, "w", encoding="utf-8") as file:
        file.write(text.replace(" -Werror)", ")"))


def write_table(root, rows):
    page = os.path.join(root, "tests", "simulation", "phones", "README.md")
    with open(page, encoding="utf-8") as file:
        before, rest = file.read().split("| file | the fault | noticed by |\n|---|---|---|\n")
    after = rest[rest.index("\n\n"):] if not rest.startswith("\n") else rest
    with open(page, "w", encoding="utf-8") as file:
        file.write(before + "| file | the fault | noticed by |\n|---|---|---|\n" +
                   "\n".join(rows) + after)


def judge(build, module):
    """Who noticed the fault, or nothing."""
    built = run(["cmake", "--build", build, "--target", *TARGETS[module]])
    if built.returncode != 0:
        return BROKEN
    units = run([os.path.join(build, "tests", "unit", module, f"test_{module}")],
                patience=PATIENCE_SECONDS)
    seen = ["unit tests"] if units.returncode != 0 else []
    if "simulate" not in TARGETS[module]:
        return "".join(seen)
    for farms in (100, 1000):  # the thousand only where nobody has noticed yet
        played = run([os.path.join(build, "tests", "simulation", "phones", "simulate"),
                      "--seeds", "1", str(farms)], patience=PATIENCE_SECONDS)
        found = re.search(r"(\d+) failed$", played.stdout.strip())
        if played.returncode != 0:
            seen.append(f"{found.group(1) if found else 'all'} of {farms} farms")
        if seen:
            break
    return " and ".join(seen)


if __name__ == "__main__":
    main()
