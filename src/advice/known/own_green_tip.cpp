// SPDX-License-Identifier: Apache-2.0
#include "advice/known/own_green_tip.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>

#include "advice/internal/current.h"
#include "base/clock.h"
#include "base/text.h"
#include "orchard/bud_stages.h"
#include "stats/posterior_normal.h"

namespace nthtree::advice {
namespace {

constexpr double published_log_sd = 0.32, spring_log_sd = 0.22;
constexpr double block_log_sd = 0.15, note_log_sd = 0.12;
constexpr double credible_low_f = 24 / 2.0, credible_high_f = 161 * 2.0;

using Days = std::map<std::int64_t, orchard::DayTemperatures>;

std::string date_of(std::int64_t day) { return base::iso_minute(day * base::day_ms); }

// The first day counted of the spring that a day lies in; springs begin in the month of `like`.
std::int64_t spring_of(std::int64_t day, std::int64_t like) {
  const std::string at = date_of(day), begins = date_of(like).substr(5, 5);
  const int year = std::atoi(at.c_str()) - (at.substr(5, 5) < begins ? 1 : 0);
  std::int64_t at_ms = 0;
  (void)base::parse_iso(base::print("%04d-", year) + begins, at_ms);
  return at_ms / base::day_ms;
}

// Adds up the days before the note, itself included.
void add_up(const Days& days, NotedGreenTip& noted) {
  for (std::int64_t day = noted.spring; day <= noted.day; ++day) {
    const auto found = days.find(day);
    if (found == days.end()) {
      noted.use = NoteUse::days_missing;
      return;
    }
    noted.sum_f += orchard::degree_days(in_fahrenheit(found->second), {orchard::apple_base_f},
                                        orchard::DayCurve::sine);
  }
  if (noted.sum_f < credible_low_f) noted.use = NoteUse::too_cold;
  if (noted.sum_f > credible_high_f) noted.use = NoteUse::too_warm;
}

// The first stage at green tip or after it that was seen in each earlier spring; where that is a
// later stage, green tip itself went unnoted.
void note_block(const ledger::Season& season, const ledger::BlockSeason& block,
                std::int64_t this_spring, std::vector<NotedGreenTip>& all) {
  const int green_tip = orchard::bud_stages()[0].bbch;
  std::map<std::int64_t, std::pair<std::int64_t, int>> first;
  for (const auto& entry : block.growth_stages) {
    const std::int64_t day = season.day_of(entry.at_ms());
    if (!ledger::stands(entry) || entry.body.bbch < green_tip || day >= this_spring) continue;
    first.emplace(spring_of(day, this_spring), std::pair{day, entry.body.bbch});
  }
  for (const auto& [spring, seen] : first) {
    if (seen.second != green_tip) continue;
    all.push_back({block.id, spring, seen.first});
    add_up(season.weather_of(block.id).days, all.back());
  }
}

double log_of(const NotedGreenTip& noted) {
  const orchard::BudStage& tip = orchard::bud_stages()[0];
  return std::log(noted.sum_f / ((tip.sum_low_f + tip.sum_high_f) / 2));
}

// ln of the sums of one spring, by block.
using Spring = std::map<std::string, double>;

double mean_of(const Spring& spring) {
  double sum = 0;
  for (const auto& [block, log] : spring) sum += log;
  return sum / static_cast<double>(spring.size());
}

}  // namespace

orchard::DayTemperatures in_fahrenheit(const orchard::DayTemperatures& celsius) {
  return {celsius.low * 1.8 + 32, celsius.high * 1.8 + 32};
}

OwnGreenTip own_green_tip(const ledger::Season& season, const std::string& block,
                          std::int64_t this_spring) {
  OwnGreenTip own;
  for (const auto& held : season.blocks()) note_block(season, held.second, this_spring, own.noted);
  std::stable_sort(own.noted.begin(), own.noted.end(),
                   [](const auto& a, const auto& b) { return a.spring < b.spring; });
  std::map<std::int64_t, Spring> springs;
  for (const NotedGreenTip& noted : own.noted) {
    if (noted.use == NoteUse::used) springs[noted.spring][noted.block] = log_of(noted);
  }
  auto farm = stats::NormalBelief::about(0, squared(published_log_sd));
  auto beside = stats::NormalBelief::about(0, squared(block_log_sd));
  for (const auto& [begins, spring] : springs) {
    farm = stats::observe(farm, mean_of(spring), squared(spring_log_sd));
    const auto mine = spring.find(block);
    if (mine == spring.end()) continue;
    ++own.springs;
    if (spring.size() < 2) continue;  // nothing to be beside
    beside = stats::observe(beside, mine->second - mean_of(spring), squared(note_log_sd));
  }
  own.farm_springs = static_cast<int>(springs.size());
  own.farm_log = farm.mean;
  own.block_log = beside.mean;
  own.ratio = std::exp(own.farm_log + own.block_log);
  return own;
}

}  // namespace nthtree::advice
