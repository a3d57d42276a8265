// SPDX-License-Identifier: Apache-2.0
#include "ledger/record_table.h"

#include <algorithm>
#include <cstdlib>
#include <iterator>
#include <map>
#include <set>
#include <utility>

#include "base/csv.h"
#include "base/text.h"
#include "ledger/json_text.h"
#include "ledger/wire.h"

namespace nthtree::ledger {
namespace {

using base::CsvRow;
using base::guarded;
using nlohmann::json;
using Cells = std::map<std::string, std::string>;

const CsvRow first_record_columns = {"id",     "at",   "at_ms",    "tick",  "clock_ms", "author",
                                     "kind",   "replaces", "block", "row",  "tree",     "spurs"};
constexpr std::size_t envelope_columns = 8;

const CsvRow count_columns = {"date", "time", "utc_offset", "block", "variety", "row", "tree",
                              "person", "count", "spurs", "spurs_after_mend", "limbs",
                              "floral_clusters", "vegetative_spurs", "floral_spurs", "fruits",
                              "exercise", "round", "seconds", "corrected", "record",
                              "limbs_in_tree", "start", "step", "size", "girth_mm", "whose"};

std::string cell_of(const json& value) {
  if (value.is_string()) return guarded(value.get<std::string>());
  if (value.is_array()) {
    std::string cell;
    for (const json& item : value) cell += (cell.empty() ? "" : " ") + item.dump();
    return cell;
  }
  if (value.is_number_float()) return base::shortest(value.get<double>());
  return value.dump();
}

void flatten(const json& object, const std::string& path, Cells& cells) {
  for (const auto& [key, value] : object.items()) {
    const std::string name = path.empty() ? key : path + "." + key;
    if (value.is_object()) {
      flatten(value, name, cells);
    } else {
      cells[name] = cell_of(value);
    }
  }
}

std::string head_of(const CsvRow& headings) {
  CsvRow line;
  for (const std::string& heading : headings) line.push_back(guarded(heading));
  return base::csv_line(line);
}

std::string row_of(const CsvRow& headings, const Cells& cells) {
  CsvRow line;
  for (const std::string& heading : headings) {
    const auto found = cells.find(heading);
    line.push_back(found == cells.end() ? "" : found->second);
  }
  return base::csv_line(line);
}

std::string local_minute(std::int64_t at_ms, int utc_offset_minutes) {
  return base::iso_minute(at_ms + utc_offset_minutes * std::int64_t{60000});
}

Cells cells_of(const Record& record, const base::TimeZone& farm) {
  Cells cells;
  const json object = json::parse(record.bytes, nullptr, false);
  if (std::holds_alternative<Unknown>(record.body)) {
    cells[whole_body_column] =
        guarded(object["body"].dump(-1, ' ', false, json::error_handler_t::replace));
  } else {
    flatten(object["body"], "", cells);
  }
  std::string at = local_minute(record.stamp.at_ms, farm.offset_minutes(record.stamp.at_ms));
  cells["at"] = at.replace(at.find('T'), 1, " ");
  cells["id"] = record.id.text();
  cells["at_ms"] = std::to_string(record.stamp.at_ms);
  cells["tick"] = std::to_string(record.stamp.tick);
  cells["clock_ms"] = std::to_string(record.clock_ms);
  cells["author"] = guarded(record.author);
  cells["kind"] = guarded(record.kind);
  if (record.replaces) cells["replaces"] = record.replaces->text();
  return cells;
}

// --- the table of counts

std::string name_of_person(const Season& season, const std::string& id) {
  const orchard::Person* person = season.person(id);
  return person ? person->name : id;
}

template <typename Body>
Cells count_cells(const Season& season, const BlockSeason& block, const Entry<Body>& entry) {
  Cells cells;
  Record record{.id = entry.position.id, .stamp = entry.position.stamp, .body = entry.body};
  const auto written = write_record(std::move(record));
  if (!written) return cells;
  flatten(json::parse(written->bytes, nullptr, false)["body"], "", cells);
  const int offset = season.time_zone().offset_minutes(entry.at_ms());
  const std::string local = local_minute(entry.at_ms(), offset);
  cells["date"] = local.substr(0, 10);
  cells["time"] = local.substr(11);
  cells["utc_offset"] = "UTC" + offset_text(offset);
  cells["block"] = guarded(block.block ? block.block->name : block.id);
  if (block.block) cells["variety"] = guarded(block.block->variety);
  // A look may be at somebody else's tree.
  if constexpr (requires { entry.body.person; }) {
    const std::string& whose = entry.body.person.empty() ? entry.author : entry.body.person;
    cells["whose"] = guarded(name_of_person(season, whose));
  }
  cells["person"] = guarded(name_of_person(season, entry.author));
  std::string kind = written->kind;
  std::replace(kind.begin(), kind.end(), '_', ' ');
  cells["count"] = kind;
  if (entry.corrected) cells["corrected"] = "yes";
  cells["record"] = entry.position.id.text();
  return cells;
}

// Where a row's entry is. Its cells, some 1.5 KB, are made when it is its turn.
struct PlacedRow {
  const FoldPosition* position;
  const BlockSeason* block;
  const void* entry;
  Cells (*cells)(const Season&, const PlacedRow&);
};

template <typename Body>
Cells placed_cells(const Season& season, const PlacedRow& row) {
  return count_cells(season, *row.block, *static_cast<const Entry<Body>*>(row.entry));
}

template <typename Body>
void add_counts(const BlockSeason& block, const Entries<Body>& entries,
                std::vector<PlacedRow>& rows) {
  for (const Entry<Body>& entry : entries) {
    if (!entry.withdrawn) rows.push_back({&entry.position, &block, &entry, placed_cells<Body>});
  }
}

}  // namespace

std::string offset_text(int utc_offset_minutes) {
  const int size = std::abs(utc_offset_minutes);
  return base::print("%c%02d:%02d", utc_offset_minutes < 0 ? '-' : '+', size / 60, size % 60);
}

bool is_envelope_column(std::string_view name) {
  const auto end = first_record_columns.begin() + envelope_columns;
  return std::find(first_record_columns.begin(), end, name) != end;
}

void count_table(const Season& season, const OnPart& on_part) {
  std::vector<PlacedRow> placed;
  for (const auto& [id, block] : season.blocks()) {
    add_counts(block, block.before_counts, placed);
    add_counts(block, block.tag_counts, placed);
    add_counts(block, block.check_counts, placed);
    add_counts(block, block.cluster_counts, placed);
    add_counts(block, block.harvest_counts, placed);
    add_counts(block, block.return_bloom, placed);
    add_counts(block, block.exercise_counts, placed);
    add_counts(block, block.part_counts, placed);
    add_counts(block, block.part_checks, placed);
    add_counts(block, block.part_clusters, placed);
    add_counts(block, block.eye_scores, placed);
    add_counts(block, block.tree_sizes, placed);
  }
  std::sort(placed.begin(), placed.end(),
            [](const PlacedRow& a, const PlacedRow& b) { return *a.position < *b.position; });
  on_part(std::string(base::byte_order_mark) + head_of(count_columns));
  for (const PlacedRow& row : placed) on_part(row_of(count_columns, row.cells(season, row)));
}

std::string count_table(const Season& season) {
  std::string text;
  count_table(season, [&text](std::string_view part) { text += part; });
  return text;
}

void RecordTable::note(const Record& record) {
  for (const auto& [name, cell] : cells_of(record, farm_)) met_.insert(name);
}

std::string RecordTable::head() {
  columns_ = first_record_columns;
  for (const std::string& name : first_record_columns) met_.erase(name);
  columns_.insert(columns_.end(), met_.begin(), met_.end());
  return head_of(columns_);
}

std::string RecordTable::row(const Record& record) const {
  return row_of(columns_, cells_of(record, farm_));
}

std::string record_table(const std::vector<Record>& records, const base::TimeZone& farm) {
  RecordTable table(farm);
  for (const Record& record : records) table.note(record);
  std::string text = table.head();
  for (const Record& record : records) text += table.row(record);
  return text;
}

}  // namespace nthtree::ledger
