// SPDX-License-Identifier: Apache-2.0
//
// Writes the invented demo farm and a week of its work as ledger files, from a seed. See
// scenarios/README.md for what each pruner shows.
//
//   nthtree_scenario --out scenarios            (the committed ones)
//   nthtree_scenario --out scenarios --practice 50
//   nthtree_scenario --out /tmp/big --scale 6 --days 40 --pruners 48 --stride 5 --seed 3
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>

#include "base/text.h"
#include "farm_plan.h"
#include "preparations.h"
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
    "                  --walk 30, and the seed draws how far off each pruner is; the words after\n"
    "                  it change that (--practice 50 makes the app's demo)\n";

bool number(const char* text, double low, double high, double& out) {
  char* end = nullptr;
  out = std::strtod(text, &end);
  return end != text && *end == '\0' && out >= low && out <= high;
}

void as_the_trade_does(scenario::Options& options, int stride) {
  options.stride = stride;
  options.limbs = 5;
  options.looks = 20;
  options.walk = 30;
  options.drawn = true;
}

struct Arguments {
  scenario::Options options;
  std::string out;
};

// False, with a message, where an argument is not understood.
bool read_arguments(int count, char** values, Arguments& arguments) {
  base::parse_iso("2026-02-02", arguments.options.monday_ms);
  for (int i = 1; i < count; i += 2) {
    const std::string name = values[i];
    const char* value = i + 1 < count ? values[i + 1] : "";
    double x = 0;
    bool good = true;
    if (name == "--out") arguments.out = value;
    else if (name == "--seed" && (good = number(value, 0, 9e15, x)))
      arguments.options.seed = static_cast<std::uint64_t>(x);
    else if (name == "--start") good = base::parse_iso(value, arguments.options.monday_ms);
    else if (name == "--days" && (good = number(value, 1, 60, x)))
      arguments.options.days = static_cast<int>(x);
    else if (name == "--pruners" && (good = number(value, 1, 200, x)))
      arguments.options.pruners = static_cast<int>(x);
    else if (name == "--stride" && (good = number(value, 2, 1000, x)))
      arguments.options.stride = static_cast<int>(x);
    else if (name == "--limbs" && (good = number(value, 0, 20, x)))
      arguments.options.limbs = static_cast<int>(x);
    else if (name == "--looks" && (good = number(value, 0, 100, x)))
      arguments.options.looks = static_cast<int>(x);
    else if (name == "--walk" && (good = number(value, 0, 100, x)))
      arguments.options.walk = static_cast<int>(x);
    else if (name == "--practice" && (good = number(value, 2, 1000, x)))
      as_the_trade_does(arguments.options, static_cast<int>(x));
    else if (name == "--scale" && (good = number(value, 0.1, 40, x)))
      arguments.options.scale = x;
    else if (good) good = false;
    if (!good) {
      std::fprintf(stderr, "nthtree_scenario: %s %s is not understood\n%s", name.c_str(), value,
                   help);
      return false;
    }
  }
  return !arguments.out.empty();
}

bool write(const std::filesystem::path& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  file << text;
  file.flush();
  return file.good();
}

// One file a device, named by who carries it.
bool write_all(const std::filesystem::path& folder, const scenario::FarmPlan& farm,
               const std::vector<std::string>& lines, const std::string& truth) {
  std::vector<std::string> names(lines.size());
  names[0] = "farm";
  for (const auto& pruner : farm.pruners) {
    std::string& name = names[static_cast<std::size_t>(pruner.device)];
    name += (name.empty() ? "phone_" : "_") + pruner.person.id;
  }
  for (std::size_t i = 0; i < farm.leads.size(); ++i) {
    names[static_cast<std::size_t>(farm.lead_devices[i])] = "phone_" + farm.leads[i].id;
  }
  bool good = write(folder / "truth.json", truth);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    good = write(folder / (names[i] + ".jsonl"), lines[i]) && good;
  }
  return good;
}

}  // namespace

int main(int count, char** values) {
  if (count == 2 && std::strcmp(values[1], "--help") == 0) return std::fputs(help, stdout) < 0;
  Arguments arguments;
  if (!read_arguments(count, values, arguments)) {
    if (arguments.out.empty()) std::fputs(help, stderr);
    return 2;
  }
  scenario::FarmPlan farm = scenario::plan_farm(arguments.options);
  base::Random random(arguments.options.seed);
  scenario::Diary diary(arguments.options.seed, farm.devices);
  if (const auto prepared = scenario::prepare(arguments.options, farm, random, diary); !prepared) {
    std::fprintf(stderr, "nthtree_scenario: %s\n", prepared.error().text().c_str());
    return 1;
  }
  scenario::WorkWeek(arguments.options, farm, random, diary).run();
  const auto lines = diary.written();
  if (!lines) {
    std::fprintf(stderr, "nthtree_scenario: %s\n", lines.error().text().c_str());
    return 1;
  }
  const auto folder = std::filesystem::path(arguments.out) / farm.folder;
  std::error_code problem;
  std::filesystem::create_directories(folder, problem);
  if (!write_all(folder, farm, *lines, scenario::truth_json(farm, arguments.options))) {
    std::fprintf(stderr, "nthtree_scenario: cannot write %s\n", folder.c_str());
    return 1;
  }
  std::printf("%zu records in %s\n", diary.size(), folder.c_str());
  return 0;
}
