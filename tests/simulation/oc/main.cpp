// SPDX-License-Identifier: Apache-2.0
//
// Writes the pages of operating characteristics: nthtree_oc <folder> [days] [seed] [page …], all
// pages where none is named. Each page says what it was made with. And plays one whole farm:
// nthtree_oc play <seed> [unchecked] [told].
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

#include "farm.h"
#include "pages.h"

namespace {

using namespace nthtree::oc;

struct Maker {
  const char* name;
  std::vector<Page> (*make)(const Effort&);
};
constexpr Maker makers[] = {{"rates", rates_pages},         {"bounds", bound_pages},
                            {"curve", curve_pages},         {"broken", broken_pages},
                            {"uncertain", uncertain_pages}, {"crew", crew_pages},
                            {"against", against_pages},
                            {"drift", drift_pages},         {"stride", stride_pages},
                            {"unchecked", unchecked_pages}, {"farm", farm_pages},
                            {"minutes", minutes_pages},     {"back", back_pages}};

bool write(const std::string& folder, const Page& page, const Effort& effort) {
  const std::string path = folder + "/" + page.file;
  std::ofstream file(path, std::ios::binary);
  file << page.text;
  if (path.ends_with(".md")) {
    file << "\nMade by `./tools/oc` with " << effort.days << " days and seed " << effort.seed
         << ".\n";
  }
  if (!file) {
    std::fprintf(stderr, "cannot write %s\n", path.c_str());
    return false;
  }
  std::printf("%s\n", path.c_str());
  std::fflush(stdout);
  return true;
}

// One farm by seed, day by day. unchecked: the lead re-counts nobody; told: advice is given, and
// mostly taken.
int play(int argc, char** argv) {
  FarmPlan plan;
  for (int i = 3; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "unchecked") plan.recounts_a_day = 0;
    else if (word == "told") plan.advice_given = true;
    else {
      std::fprintf(stderr, "%s: allowed are unchecked and told\n", word.c_str());
      return 2;
    }
  }
  std::fputs(farm_text(play_farm(plan, std::strtoull(argv[2], nullptr, 10))).c_str(), stdout);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc > 2 && std::string(argv[1]) == "play") return play(argc, argv);
  if (argc < 2) {
    std::fputs("nthtree_oc <folder> [days] [seed] [page ...]\n", stderr);
    return 2;
  }
  Effort effort;
  if (argc > 2) effort.days = std::max(40, std::atoi(argv[2]));
  if (argc > 3) effort.seed = std::strtoull(argv[3], nullptr, 10);
  std::printf("days %d seed %llu\n", effort.days, static_cast<unsigned long long>(effort.seed));
  const std::vector<std::string> wanted(argv + std::min(argc, 4), argv + argc);
  const auto is_maker = [](const std::string& name) {
    return std::any_of(std::begin(makers), std::end(makers),
                       [&](const Maker& maker) { return name == maker.name; });
  };
  for (const std::string& name : wanted) {
    if (is_maker(name)) continue;
    std::fprintf(stderr, "no page is called %s\n", name.c_str());
    return 2;
  }
  for (const Maker& maker : makers) {
    if (!wanted.empty() && std::find(wanted.begin(), wanted.end(), maker.name) == wanted.end()) {
      continue;
    }
    for (const Page& page : maker.make(effort)) {
      if (!write(argv[1], page, effort)) return 1;
    }
  }
  return 0;
}
