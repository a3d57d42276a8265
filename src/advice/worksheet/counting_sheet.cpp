// SPDX-License-Identifier: Apache-2.0
#include "advice/worksheet/counting_sheet.h"

#include <set>

#include "advice/internal/context.h"
#include "advice/internal/counting_tally.h"
#include "advice/internal/current.h"

namespace nthtree::advice {

const CounterSheet* CountingSheet::of(const std::string& person) const {
  for (const CounterSheet& one : people) {
    if (one.counter.person == person) return &one;
  }
  return nullptr;
}

std::vector<std::string> counted_here(const ledger::BlockSeason& block) {
  std::set<std::string> people;
  for_current(block.tag_counts, always, [&](const auto& entry) { people.insert(entry.author); });
  return {people.begin(), people.end()};
}

CountingSheet counting_sheet(const ledger::Season& season, std::int64_t now_ms) {
  const auto people = tally_counting(season, cut_for(season, now_ms));
  const CountingCrew crew = fit_counting_crew(people);
  CountingSheet sheet;
  sheet.bias = pool_counting(people);
  sheet.one_variance = crew.one;
  sheet.between_before = crew.between_before;
  sheet.limits = count_agreements(season, now_ms).crew;
  sheet.mean = crew.mean;
  sheet.mean_variance = crew.mean_variance;
  sheet.between = crew.between;
  for (const auto& [person, tally] : people) {
    if (tally.pairs == 0) continue;
    CounterSheet one;
    one.counter = sheet.bias.of(person);
    one.is_lead = tally.is_lead;
    one.pairs = tally.counted_twice;
    one.own_mean = tally.pair_mean();
    one.squares = tally.pair_squares();
    one.own_variance = crew.one / tally.pairs;
    one.limits = agreement_of(tally.counted_twice);
    const double own = 1 / one.own_variance, between = 1 / crew.between_before;
    one.drawn_mean = (one.own_mean * own + crew.mean * between) / (own + between);
    one.drawn_variance = 1 / (own + between);
    const auto usual = crew.as_usual.find(person);
    if (usual != crew.as_usual.end()) one.as_usual = usual->second;
    sheet.people.push_back(std::move(one));
  }
  return sheet;
}

}  // namespace nthtree::advice
