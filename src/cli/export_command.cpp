// SPDX-License-Identifier: Apache-2.0

#include "base/text.h"
#include "base/arguments.h"
#include "cli/command.h"
#include "cli/season_files.h"
#include "cli/text_files.h"
#include "ledger/ledger.h"
#include "ledger/record_table.h"

namespace nthtree::cli {

const char* const export_help =
    "usage: nthtree export FOLDER_OR_FILE… [--format FORM] [--output FILE] [--skip-bad]\n"
    "Everything that was written, each record once, in the order of its time.\n"
    "\n"
    "  --format jsonl   JSON lines, one record a line, byte for byte (where not given)\n"
    "  --format counts  a table for people: one row a count, with names and the farm's time\n"
    "  --format csv     a table of everything: one row a record, one column a field\n"
    "  --output FILE    into a file instead of standard output; an older one is replaced\n"
    "  --skip-bad       tells bad records on standard error and goes on without them\n"
    "\n"
    "  nthtree export scenarios/oxbow_lantern --format counts > counts.csv\n";

Outcome export_command(const Words& words) {
  const auto arguments = read_arguments(
      words, {{"--format", true}, {"--output", true}, {"--skip-bad", false}}, 1, 10000);
  if (!arguments) return refused(arguments.error());
  const std::string format = arguments->value("--format", "jsonl");
  if (format != "jsonl" && format != "counts" && format != "csv") {
    return refused("--format: \"" + format + "\" is not known: allowed are jsonl, counts, csv");
  }
  const auto loaded = load_records(arguments->rest, arguments->has("--skip-bad"));
  if (!loaded) return refused(loaded.error());

  ledger::Ledger held;
  ledger::Season season;
  std::vector<ledger::Record> records;
  for (const auto& record : loaded->records) {
    const auto added = held.add(record);
    if (added == ledger::Ledger::Added::conflict) {
      return refused(record.id.text() + ": the id stands for two different records (conflict)");
    }
    if (added != ledger::Ledger::Added::added) continue;
    season.apply(record);
    records.push_back(record);
  }
  sort_records(records);
  Outcome outcome;
  outcome.err = skipped_text(loaded->skipped);
  std::string text;
  if (format == "csv") {
    text = ledger::record_table(records, season.time_zone());
  } else if (format == "counts") {
    text = ledger::count_table(season);
  } else {
    for (const auto& record : records) text += record.bytes + "\n";
  }
  if (!arguments->has("--output")) {
    outcome.out = std::move(text);
    return outcome;
  }
  const auto written = write_text(arguments->value("--output"), text);
  if (!written) return refused(written.error());
  outcome.out = base::print("%zu records in %s\n", records.size(),
                            arguments->value("--output").c_str());
  return outcome;
}

}  // namespace nthtree::cli
