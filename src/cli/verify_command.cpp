// SPDX-License-Identifier: Apache-2.0
#include <map>
#include <set>
#include <type_traits>

#include "base/text.h"
#include "base/arguments.h"
#include "cli/command.h"
#include "cli/season_files.h"
#include "ledger/ledger.h"

namespace nthtree::cli {

const char* const verify_help =
    "usage: nthtree verify FILE…\n"
    "Checks ledger files, or every *.jsonl of a folder: each record against the record form; ids\n"
    "that stand for two different records; trees outside their block; blocks and people without\n"
    "settings; corrections of records that are not there; gaps in a device's numbering;\n"
    "records from the future.\n"
    "Changes nothing. Exit code 0: in order (gaps, clocks and unknown kinds are only told). 2:\n"
    "something is wrong; each line on standard error names file, line, field, value and what is\n"
    "allowed.\n"
    "\n"
    "  nthtree verify scenarios/oxbow_lantern\n"
    "  nthtree verify phone_p1.jsonl phone_l1.jsonl\n";

namespace {

constexpr std::size_t told_most = 200;  // lines on standard error; the rest is a number

struct Findings {
  std::vector<std::string> wrong;
  std::vector<std::string> notes;
};

template <typename T>
concept has_tree = requires(T body) { body.tree; body.block; };
template <typename T>
concept has_block_id = requires(T body) { { body.block } -> std::convertible_to<std::string>; };

// Trees and blocks that a record names against the block's settings.
void check_places(const ledger::Season& season, const std::vector<ledger::Record>& records,
                  Findings& findings) {
  std::set<std::string> unknown_blocks;
  for (const ledger::Record& record : records) {
    std::visit([&](const auto& body) {
      using T = std::decay_t<decltype(body)>;
      if constexpr (has_block_id<T>) {
        const ledger::BlockSeason* block = season.block(body.block);
        if (!block || !block->block) {
          unknown_blocks.insert(body.block);
        } else if constexpr (has_tree<T>) {
          const orchard::Block& there = *block->block;
          if (there.has(body.tree)) return;
          const int length = there.trees_in_row(body.tree.row);
          findings.wrong.push_back(
              length == 0 ? base::print("%s: body.row: %d is out of range: block %s has rows 1 to "
                                        "%d (outside_block)", record.id.text().c_str(),
                                        body.tree.row, body.block.c_str(), there.rows)
                          : base::print("%s: body.tree: %d is out of range: row %d of block %s has "
                                        "trees 1 to %d (outside_block)", record.id.text().c_str(),
                                        body.tree.tree, body.tree.row, body.block.c_str(),
                                        length));
        }
      }
    }, record.body);
  }
  for (const std::string& block : unknown_blocks) {
    findings.notes.push_back("block " + block + " is named but has no settings here");
  }
}

void check_links(const ledger::Season& season, const std::vector<ledger::Record>& records,
                 Findings& findings) {
  std::set<ledger::RecordId> held;
  for (const auto& record : records) held.insert(record.id);
  std::set<std::string> strangers;
  for (const auto& record : records) {
    if (record.replaces && !held.count(*record.replaces)) {
      findings.notes.push_back(record.id.text() + " replaces " + record.replaces->text() +
                               ", which is not here");
    }
    if (!record.author.empty() && !season.person(record.author)) strangers.insert(record.author);
  }
  for (const std::string& person : strangers) {
    findings.notes.push_back("person " + person + " is named but has no settings here");
  }
}

void check_devices(const ledger::Ledger& held, Findings& findings) {
  for (const ledger::DeviceKey& device : held.devices()) {
    if (held.head(device) == held.highest(device)) continue;
    findings.notes.push_back(base::print(
        "device %s: records are missing between %llu and %llu", device.text().c_str(),
        static_cast<unsigned long long>(held.head(device)),
        static_cast<unsigned long long>(held.highest(device))));
  }
}

// Phones whose records claim to be from the future, as far as the others' records tell.
void check_clocks(const ledger::Season& season, const std::vector<ledger::Record>& records,
                  Findings& findings) {
  const std::int64_t present_ms = ledger::present_of(records);
  for (const ledger::WrittenAhead& phone : ledger::written_ahead(records, present_ms)) {
    findings.notes.push_back(ahead_text(season, phone, present_ms) +
                             "; they move nobody else's numbers: set its clock");
  }
}

std::string lines_of(const std::vector<std::string>& lines, const char* before) {
  std::string text;
  for (std::size_t i = 0; i < lines.size() && i < told_most; ++i) text += before + lines[i] + "\n";
  if (lines.size() > told_most) {
    text += base::print("%sand %zu more\n", before, lines.size() - told_most);
  }
  return text;
}

}  // namespace

Outcome verify_command(const Words& words) {
  const auto arguments = read_arguments(words, {}, 1, 10000);
  if (!arguments) return refused(arguments.error());
  Findings findings;
  ledger::Ledger held;
  ledger::Season season;
  std::vector<ledger::Record> records;
  std::size_t files_read = 0, doubled = 0;
  for (const std::string& given : arguments->rest) {
    const auto paths = ledger_paths(given);
    if (!paths) return refused(paths.error());
    for (const std::string& path : *paths) {
      auto file = read_ledger(path);
      if (!file) return refused(file.error());
      ++files_read;
      for (const auto& error : file->errors) findings.wrong.push_back(error.text());
      for (auto& record : file->records) {
        const auto added = held.add(record);
        doubled += added == ledger::Ledger::Added::already_held;
        if (added == ledger::Ledger::Added::conflict) {
          findings.wrong.push_back(path + ": " + record.id.text() +
                                   ": the id stands for two different records (conflict)");
        }
        if (added == ledger::Ledger::Added::added) records.push_back(std::move(record));
      }
    }
  }
  sort_records(records);
  for (const auto& record : records) season.apply(record);
  check_places(season, records, findings);
  check_links(season, records, findings);
  check_devices(held, findings);
  check_clocks(season, records, findings);
  if (season.unknown_records() > 0) {
    findings.notes.push_back(base::print("%zu records of kinds this version does not know: kept",
                                         season.unknown_records()));
  }
  if (!findings.wrong.empty()) {
    return {exit_bad_input, "", lines_of(findings.wrong, "") +
            base::print("%zu wrong in %zu records of %zu files\n", findings.wrong.size(),
                        records.size(), files_read)};
  }
  const std::string summary = base::print(
      "%zu records of %zu devices in %zu files are in order%s; season %s\n", records.size(),
      held.devices().size(), files_read,
      doubled ? base::print(" (%zu stand more than once)", doubled).c_str() : "",
      season.fingerprint().c_str());
  return {exit_good, lines_of(findings.notes, "note: ") + summary, ""};
}

}  // namespace nthtree::cli
