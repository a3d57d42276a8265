// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"
#include "base/arguments.h"
#include "cli/command.h"
#include "cli/json_out.h"
#include "cli/season_files.h"
#include "cli/text_table.h"
#include "cli/variety_presets.h"
#include "ledger/wire.h"

namespace nthtree::cli {

const char* const varieties_help =
    "usage: nthtree varieties FILE [NAME] [--ledger FOLDER_OR_FILE] [--at TIME] [--json]\n"
    "What is usual for each variety, and where it is known from: the starting values of a block.\n"
    "With NAME, that one with the source of every value.\n"
    "\n"
    "  FILE       assets/varieties.json\n"
    "  --ledger   with what this farm set itself (marked *)\n"
    "  --at TIME  as the farm had them then\n"
    "  --json     for programs\n"
    "\n"
    "A farm sets values by a record of kind variety: on the phone, under The farm, or as a line\n"
    "of a table. What is left empty stays as it came; a line that sets nothing gives all back.\n"
    "\n"
    "  kind,at,author,variety,insurance_factor,fruits_per_cm2_low,fruits_per_cm2_high,"
    "seeds_per_fruit,biennial_tendency,pruning_time,source\n"
    "  variety,2026-01-20 09:00,m1,Honeycrisp,2.0,,,,,,own trial\n"
    "\n"
    "  nthtree import table.csv --ledger FOLDER\n"
    "  nthtree varieties assets/varieties.json Honeycrisp --ledger FOLDER\n";

namespace {

using orchard::Variety;

std::string range_of(const Variety& v) {
  return base::shortest(v.fruits_per_cm2_low) + " to " + base::shortest(v.fruits_per_cm2_high);
}
std::string tendency_of(const Variety& v) {
  return ledger::wire::biennial_tendencies[static_cast<std::size_t>(v.biennial_tendency)];
}
std::string time_of(const Variety& v) {
  return ledger::wire::pruning_times[static_cast<std::size_t>(v.pruning_time)];
}
// A value with the farm's mark.
std::string marked(const std::string& value, const std::string& source) {
  return value + (source.starts_with(orchard::set_by_farm) ? "*" : "");
}

std::string page_of(const Variety& v) {
  TextTable table({"value", "", "source"});
  table.row({"insurance factor", base::shortest(v.insurance_factor), v.insurance_factor_source});
  table.row({"fruits a cm² of trunk", range_of(v), v.fruits_per_cm2_source});
  table.row({"biennial tendency", tendency_of(v), v.biennial_tendency_source});
  table.row({"pruning is better", time_of(v), v.pruning_time_source});
  table.row({"seeds a fruit", base::shortest(v.seeds_per_fruit), v.seeds_per_fruit_source});
  return v.name + "\n" + table.text();
}

std::string table_of(const std::vector<Variety>& varieties) {
  TextTable table({"variety", ">insurance", ">fruits a cm²", "biennial", "pruning is better",
                   ">seeds a fruit"});
  for (const Variety& v : varieties) {
    table.row({v.name,
               marked(base::shortest(v.insurance_factor), v.insurance_factor_source),
               marked(range_of(v), v.fruits_per_cm2_source),
               marked(tendency_of(v), v.biennial_tendency_source),
               marked(time_of(v), v.pruning_time_source),
               marked(base::shortest(v.seeds_per_fruit), v.seeds_per_fruit_source)});
  }
  return table.text() + "\n* set by this farm. Starting values, not rules; with a name, this "
                        "command tells the source of each.\n";
}

Json json_of(const Variety& v) {
  const auto value = [](Json what, const std::string& source) {
    return Json{{"value", std::move(what)}, {"source", source}};
  };
  Json out;
  out["name"] = v.name;
  out["insurance_factor"] = value(number(v.insurance_factor), v.insurance_factor_source);
  out["fruits_per_cm2"] = {{"low", number(v.fruits_per_cm2_low)},
                           {"high", number(v.fruits_per_cm2_high)},
                           {"source", v.fruits_per_cm2_source}};
  out["biennial_tendency"] = value(tendency_of(v), v.biennial_tendency_source);
  out["pruning_time"] = value(time_of(v), v.pruning_time_source);
  out["seeds_per_fruit"] = value(number(v.seeds_per_fruit), v.seeds_per_fruit_source);
  return out;
}

}  // namespace

Outcome varieties_command(const Words& words) {
  const auto arguments = read_arguments(
      words, {{"--ledger", true}, {"--at", true}, {"--json", false}}, 1, 2);
  if (!arguments) return refused(arguments.error());
  if (arguments->has("--at") && !arguments->has("--ledger")) {
    return refused("--at: needs --ledger: the file alone has no past");
  }
  auto varieties = read_presets(arguments->rest[0], arguments->value("--ledger"),
                                arguments->value("--at"));
  if (!varieties) return refused(varieties.error());
  if (arguments->rest.size() == 2) {
    const auto one = preset_of(*varieties, arguments->rest[1], "NAME");
    if (!one) return refused(one.error());
    return {exit_good, arguments->has("--json") ? text_of(json_of(*one)) : page_of(*one), ""};
  }
  if (!arguments->has("--json")) return {exit_good, table_of(*varieties), ""};
  Json out = Json::array();
  for (const Variety& variety : *varieties) out.push_back(json_of(variety));
  return {exit_good, text_of({{"varieties", out}}), ""};
}

}  // namespace nthtree::cli
