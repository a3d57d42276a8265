// SPDX-License-Identifier: Apache-2.0
//
// Writes the pages of operating characteristics: nthtree_oc <folder> [days] [seed] [page …], all
// pages where none is named. Each page says what it was made with. And plays one whole farm:
// nthtree_oc play <seed> [unchecked] [told].
#include <algorithm>
#include <cstdio>
#include <fstream>
#include <string>

#include "base/arguments.h"
#include "farm.h"
#include "pages.h"

namespace {

using namespace nthtree;
using namespace nthtree::oc;
using base::Words;

int refused(const base::Error& error) {
  std::fprintf(stderr, "nthtree_oc FOLDER [days] [seed] [page ...] | play SEED [unchecked] [told]: "
               "%s\n", error.text().c_str());
  return 2;
}

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
int play(std::uint64_t seed, const Words& words) {
  FarmPlan plan;
  for (const std::string& word : words) {
    if (word == "unchecked") plan.recounts_a_day = 0;
    else if (word == "told") plan.advice_given = true;
    else return refused({"unknown_word", "allowed are unchecked and told", word});
  }
  std::fputs(farm_text(play_farm(plan, seed)).c_str(), stdout);
  return 0;
}

int make(const std::string& folder, const Effort& effort, const Words& wanted) {
  const auto is_wanted = [&](const std::string& name) {
    return wanted.empty() || std::find(wanted.begin(), wanted.end(), name) != wanted.end();
  };
  for (const std::string& name : wanted) {
    const auto is_it = [&](const Maker& maker) { return name == maker.name; };
    if (std::none_of(std::begin(makers), std::end(makers), is_it)) {
      return refused({"unknown_page", "no page is called so", name});
    }
  }
  std::printf("days %d seed %llu\n", effort.days, static_cast<unsigned long long>(effort.seed));
  for (const Maker& maker : makers) {
    if (!is_wanted(maker.name)) continue;
    for (const Page& page : maker.make(effort)) {
      if (!write(folder, page, effort)) return 1;
    }
  }
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  constexpr std::int64_t seed_most = 1LL << 53;
  const auto arguments = base::read_arguments({argv + 1, argv + argc}, {}, 1, 64);
  if (!arguments) return refused(arguments.error());
  const Words& words = arguments->rest;
  const auto beyond = [&](std::size_t from) {
    return Words(words.begin() + static_cast<std::ptrdiff_t>(std::min(from, words.size())),
                 words.end());
  };
  if (words[0] == "play") {
    const auto seed = arguments->whole(1, 0, seed_most, 1, "seed");
    return seed ? play(static_cast<std::uint64_t>(*seed), beyond(2)) : refused(seed.error());
  }
  Effort effort;
  const auto days = arguments->whole(1, 40, 1000000, effort.days, "days");
  const auto seed = arguments->whole(2, 0, seed_most, static_cast<std::int64_t>(effort.seed),
                                     "seed");
  if (!days) return refused(days.error());
  if (!seed) return refused(seed.error());
  effort.days = static_cast<int>(*days);
  effort.seed = static_cast<std::uint64_t>(*seed);
  return make(words[0], effort, beyond(3));
}
