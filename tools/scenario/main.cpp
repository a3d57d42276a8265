// SPDX-License-Identifier: Apache-2.0
//
// Writes the invented demo farm and a week of its work as ledger files, from a seed. See
// scenarios/README.md for what each pruner shows.
//
//   nthtree_scenario --out scenarios            (the committed ones)
//   nthtree_scenario --out scenarios --practice 50
//   nthtree_scenario --out scenarios --seasons 3
//   nthtree_scenario --out /tmp/big --scale 6 --days 40 --pruners 48 --stride 5 --seed 3
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>

#include "base/arguments.h"
#include "base/text.h"
#include "farm_plan.h"
#include "preparations.h"
#include "seasons.h"
#include "work_week.h"

namespace {

using namespace nthtree;

const char* const help =
    "usage: nthtree_scenario --out FOLDER [options]\n"
    "Writes FOLDER/<farm>/farm.jsonl, one ledger file a device, and truth.json.\n"
    "  --seed N        another season of the same farm (default 20260202)\n"
    "  --start DATE    first day of pruning, a Monday (default 2026-02-02)\n"
    "  --days N        of pruning, 1 to 60 (default 6)\n"
    "  --pruners N     1 to 200 (default 12)\n"
    "  --stride N      every Nth tree is counted, 2 to 1000 (default 7)\n"
    "  --scale X       rows of every block, times X, 0.1 to 40 (default 1)\n"
    "  --limbs N       so many limbs of each counted tree, 0 to 20 (default 0: whole trees)\n"
    "  --looks N       trees a pruner scores by eye a day, 0 to 100 (default 0)\n"
    "  --walk N        trees of each pruner that a lead walks past a day, 0 to 100 (default 0)\n"
    "  --practice N    as the trade does it: every Nth tree in part (--limbs 5), --looks 20,\n"
    "                  --walk 30, and the seed draws how far off each pruner is; the words\n"
    "                  beside it change that (--practice 50 makes the app's demo)\n"
    "  --seasons N     1 to 3 whole ones (on-year, off-year, a frost night) of a smaller farm, the\n"
    "                  last pruned from --start on\n"
    "  --until DATE    nothing was written from that day on\n";

struct Choice {
  std::string out;
  scenario::Options options;
};

void as_the_trade_does(scenario::Options& options) {
  options.limbs = 5;
  options.looks = 20;
  options.walk = 30;
  options.drawn = true;
}

// Less of it, so that three years are no larger than one week of every seventh tree.
void as_seasons(scenario::Options& options, int seasons) {
  options.seasons = seasons;
  options.stride = 25;
  options.scale = 0.4;
  options.days = 3;
}

// What was said of the season; what was not stays as it is.
base::Status fill(const base::Arguments& said, scenario::Options& options) {
  struct Number {
    const char* name;
    double low, high;
    bool whole;
    std::function<void(double)> set;
  };
  const auto into = [](int& field) {
    return [&field](double x) { field = static_cast<int>(x); };
  };
  const Number numbers[] = {
      {"--seed", 0, 9e15, true, [&](double x) { options.seed = static_cast<std::uint64_t>(x); }},
      {"--practice", 2, 1000, true, [&](double x) {
         options.stride = static_cast<int>(x);
         as_the_trade_does(options);
       }},
      {"--seasons", 1, scenario::seasons_max, true,
       [&](double x) { as_seasons(options, static_cast<int>(x)); }},
      {"--days", 1, 60, true, into(options.days)},
      {"--pruners", 1, 200, true, into(options.pruners)},
      {"--stride", 2, 1000, true, into(options.stride)},
      {"--limbs", 0, 20, true, into(options.limbs)},
      {"--looks", 0, 100, true, into(options.looks)},
      {"--walk", 0, 100, true, into(options.walk)},
      {"--scale", 0.1, 40, false, [&](double x) { options.scale = x; }}};
  for (const Number& number : numbers) {
    if (!said.has(number.name)) continue;
    const auto value = base::read_number(said.value(number.name), number.low, number.high,
                                         number.name);
    if (!value) return value.error();
    if (number.whole && *value != std::floor(*value)) {
      return base::Error{"not_whole", "is not a whole number", number.name};
    }
    number.set(*value);
  }
  if (!base::parse_iso(said.value("--start", "2026-02-02"), options.monday_ms)) {
    return base::Error{"bad_date", "is no date", "--start"};
  }
  if (said.has("--until") && !base::parse_iso(said.value("--until"), options.until_ms)) {
    return base::Error{"bad_date", "is no date", "--until"};
  }
  return base::Ok{};
}

base::Result<Choice> read(const base::Words& words) {
  const auto said = base::read_arguments(
      words, {{"--out", true}, {"--seed", true}, {"--start", true}, {"--days", true},
              {"--pruners", true}, {"--stride", true}, {"--scale", true}, {"--limbs", true},
              {"--looks", true}, {"--walk", true}, {"--practice", true}, {"--seasons", true},
              {"--until", true}, {"--help", false}}, 0, 0);
  if (!said) return said.error();
  if (said->has("--help")) return Choice{};
  if (!said->has("--out")) return base::Error{"missing_argument", "names no folder", "--out"};
  Choice choice{said->value("--out"), {}};
  if (const auto filled = fill(*said, choice.options); !filled) return filled.error();
  return choice;
}

bool write(const std::filesystem::path& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  file << text;
  file.flush();
  return file.good();
}

// One file a device, named by who carries it.
bool write_all(const std::filesystem::path& folder, const scenario::FarmPlan& farm,
               const std::vector<std::string>& lines, const std::vector<std::string>& truths) {
  std::vector<std::string> names(lines.size());
  names[0] = "farm";
  for (const auto& pruner : farm.pruners) {
    std::string& name = names[static_cast<std::size_t>(pruner.device)];
    name += (name.empty() ? "phone_" : "_") + pruner.person.id;
  }
  for (std::size_t i = 0; i < farm.leads.size(); ++i) {
    names[static_cast<std::size_t>(farm.lead_devices[i])] = "phone_" + farm.leads[i].id;
  }
  bool good = true;
  for (std::size_t i = 0; i < truths.size(); ++i) {
    const std::string of = truths.size() == 1 ? "" : "_" + std::to_string(i + 1);
    good = write(folder / ("truth" + of + ".json"), truths[i]) && good;
  }
  for (std::size_t i = 0; i < lines.size(); ++i) {
    good = write(folder / (names[i] + ".jsonl"), lines[i]) && good;
  }
  return good;
}

// A week of pruning, or whole seasons; what was put in, as JSON.
base::Result<std::vector<std::string>> live(const scenario::Options& options,
                                            scenario::FarmPlan& farm, base::Random& random,
                                            scenario::Diary& diary) {
  if (options.seasons > 0) return scenario::live_seasons(options, farm, random, diary);
  scenario::set_up_farm(options, farm, diary);
  if (const auto done = scenario::prepare_blocks(options, farm, random, diary); !done) {
    return done.error();
  }
  scenario::WorkWeek(options, farm, random, diary).run();
  return std::vector<std::string>{scenario::truth_json(farm, options)};
}

int fail(const base::Error& error) {
  std::fprintf(stderr, "nthtree_scenario: %s\n", error.text().c_str());
  return 1;
}

}  // namespace

int main(int count, char** values) {
  const auto choice = read({values + 1, values + count});
  if (!choice) {
    std::fprintf(stderr, "nthtree_scenario: %s\n%s", choice.error().text().c_str(), help);
    return 2;
  }
  if (choice->out.empty()) return std::fputs(help, stdout) < 0;
  const scenario::Options& options = choice->options;
  scenario::FarmPlan farm = scenario::plan_farm(options);
  base::Random random(options.seed);
  scenario::Diary diary(options.seed, farm.devices);
  const auto truths = live(options, farm, random, diary);
  if (!truths) return fail(truths.error());
  const auto lines = diary.written(options.until_ms);
  if (!lines) return fail(lines.error());
  const auto folder = std::filesystem::path(choice->out) / farm.folder;
  std::error_code problem;
  std::filesystem::create_directories(folder, problem);
  if (!write_all(folder, farm, *lines, *truths)) {
    std::fprintf(stderr, "nthtree_scenario: cannot write %s\n", folder.c_str());
    return 1;
  }
  std::printf("%zu records in %s\n", diary.size(), folder.c_str());
  return 0;
}
