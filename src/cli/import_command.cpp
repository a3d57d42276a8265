// SPDX-License-Identifier: Apache-2.0
#include <filesystem>
#include <map>

#include "base/text.h"
#include "base/arguments.h"
#include "cli/command.h"
#include "cli/count_csv.h"
#include "cli/record_csv.h"
#include "cli/season_files.h"
#include "cli/text_files.h"
#include "ledger/ledger.h"

namespace nthtree::cli {

const char* const import_help =
    "usage: nthtree import FILE… --ledger FOLDER [--format jsonl|csv] [--dry-run]\n"
    "Adds records to a ledger folder: a phone's export (JSON lines), or counts from paper (CSV).\n"
    "What is held already is not added again. All or nothing: one bad record, nothing changes.\n"
    "\n"
    "  --ledger FOLDER  where the season's *.jsonl lie; new records go to a file of their device\n"
    "  --format         by the file's name where not given (.csv, else JSON lines)\n"
    "  --dry-run        says what would be added, and adds nothing\n"
    "\n"
    "A CSV of counts has a row of headings, then a row a record: kind, at, author, and the fields\n"
    "of the kind (src/ledger/FORMAT.md), for instance\n"
    "  kind,at,author,block,row,tree,spurs\n"
    "  tag_count,2026-02-04 09:15,p1,b1,12,40,231\n"
    "A table of counts (export --format counts) is read as well: rows typed below its own are new\n"
    "counts, with the names of blocks and people.\n"
    "\n"
    "  nthtree import paper.csv --ledger scenarios/oxbow_lantern --dry-run\n";

namespace {

using base::Error;
using base::Result;

struct Holding {  // what the ledger folder holds before
  ledger::Ledger ledger;
  ledger::Season season;
};

Result<Holding> holding_of(const std::string& folder) {
  Holding holding;
  std::error_code problem;
  if (!std::filesystem::is_directory(folder, problem)) {
    return Error{"cannot_read", "is not a folder", folder};
  }
  bool has_files = false;
  for (std::filesystem::directory_iterator it(folder, problem), end; !problem && it != end;
       it.increment(problem)) {
    has_files = has_files || it->path().extension() == ".jsonl";
  }
  if (problem) return Error{"cannot_read", problem.message(), folder};
  if (!has_files) return holding;
  const auto loaded = load_records({folder}, false);
  if (!loaded) return loaded.error();
  for (const auto& record : loaded->records) {
    holding.ledger.add(record);
    holding.season.apply(record);
  }
  return holding;
}

Result<TableCounts> records_in(const std::string& path, const std::string& format,
                               const Holding& holding) {
  const bool csv = format == "csv" || (format.empty() && path.size() > 4 &&
                                       path.compare(path.size() - 4, 4, ".csv") == 0);
  if (!csv) {
    auto file = read_ledger(path);
    if (!file) return file.error();
    if (!file->errors.empty()) return file->errors.front();
    return TableCounts{std::move(file->records)};
  }
  const auto text = read_text(path, ledger::ledger_file_bytes_max);
  if (!text) return text.error();
  const auto in_file = [&path](Error error) {
    error.where = path + (error.where.empty() ? "" : ": ") + error.where;
    return error;
  };
  if (is_count_table(*text)) {
    auto counts = read_count_table(*text, holding.season);
    if (!counts) return in_file(counts.error());
    return counts;
  }
  auto records = records_of_csv(*text, holding.season.time_zone());
  if (!records) return in_file(records.error());
  return TableCounts{std::move(*records)};
}

// A count of a tree that is not in its block is refused here, where it can still be mended.
base::Status check_tree(const ledger::Record& record, const ledger::Season& season) {
  base::Status status = base::Ok{};
  std::visit([&](const auto& body) {
    if constexpr (requires { body.tree; body.block; }) {
      const ledger::BlockSeason* block = season.block(body.block);
      if (block && block->block && !block->block->has(body.tree)) {
        status = Error{"outside_block",
                       base::print("row %d tree %d is out of range: block %s has %d rows of %d "
                                   "trees", body.tree.row, body.tree.tree, body.block.c_str(),
                                   block->block->rows, block->block->trees_per_row),
                       record.id.text() + ": body.tree"};
      }
    }
  }, record.body);
  return status;
}

// Appends to the devices' files, each through a new file that takes the old one's name.
base::Status write_new(const std::string& folder,
                       const std::map<ledger::DeviceKey, std::string>& lines) {
  for (const auto& [device, text] : lines) {
    const std::string path = folder + "/device_" + device.text() + ".jsonl";
    std::string before;
    std::error_code problem;
    if (std::filesystem::exists(path, problem)) {
      const auto old = read_text(path, ledger::ledger_file_bytes_max);
      if (!old) return old.error();
      before = *old;
      if (!before.empty() && before.back() != '\n') before += '\n';
    }
    const auto written = write_text(path, before + text);
    if (!written) return written;
  }
  return base::Ok{};
}

}  // namespace

Outcome import_command(const Words& words) {
  const auto arguments = read_arguments(
      words, {{"--ledger", true}, {"--format", true}, {"--dry-run", false}}, 1, 10000);
  if (!arguments) return refused(arguments.error());
  const std::string folder = arguments->value("--ledger");
  const std::string format = arguments->value("--format");
  if (folder.empty()) return refused("--ledger: is missing: a folder is needed");
  if (!format.empty() && format != "jsonl" && format != "csv") {
    return refused("--format: \"" + format + "\" is not known: allowed are jsonl, csv");
  }
  auto holding = holding_of(folder);
  if (!holding) return refused(holding.error());
  std::map<ledger::DeviceKey, std::string> lines;
  std::size_t added = 0, held = 0;
  for (const std::string& path : arguments->rest) {
    auto read = records_in(path, format, *holding);
    if (!read) return refused(read.error());
    held += read->held;
    auto& records = read->records;
    sort_records(records);
    // Settings first: the counts beside them may be of a block that they bring.
    for (const auto& record : records) holding->season.apply(record);
    for (const auto& record : records) {
      const auto how = holding->ledger.add(record);
      if (how == ledger::Ledger::Added::conflict) {
        return refused(path + ": " + record.id.text() +
                       ": another record with this id is held already (conflict)");
      }
      held += how == ledger::Ledger::Added::already_held;
      if (how != ledger::Ledger::Added::added) continue;
      if (const auto placed = check_tree(record, holding->season); !placed) {
        return refused(path + ": " + placed.error().text());
      }
      ++added;
      lines[record.id.device] += record.bytes + "\n";
    }
  }
  const bool dry = arguments->has("--dry-run");
  if (!dry) {
    const auto written = write_new(folder, lines);
    if (!written) return refused(written.error());
  }
  return {exit_good, base::print("%zu records %s, %zu held already\n", added,
                                 dry ? "would be added" : "added", held), ""};
}

}  // namespace nthtree::cli
