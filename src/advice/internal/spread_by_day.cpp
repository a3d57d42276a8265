// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/spread_by_day.h"

#include <algorithm>
#include <cmath>

#include "advice/internal/group_size.h"

namespace nthtree::advice {
namespace {

constexpr double alike_most = 8;  // a run that raises an alarm holds few more counts of one day

// What each day's tags say of the spread, without what a lead found.
std::map<std::int64_t, SpreadSums> sums_by_day(const PersonEvidence& person, double limb_variance) {
  std::map<std::int64_t, SpreadSums> sums;
  PersonEvidence day;
  day.advice = person.advice;
  day.bare_few = person.bare_few;
  for (std::size_t i = 0; i < person.counts.size(); ++i) {
    day.counts.push_back(person.counts[i]);
    if (day.counts.back().has_check()) day.counts.back().add_more().check = -1;
    const bool ends = i + 1 == person.counts.size() ||
                      person.counts[i + 1].day != person.counts[i].day;
    if (!ends) continue;
    sums[person.counts[i].day] = spread_sums(day, 0, limb_variance);
    day.counts.clear();
  }
  return sums;
}

void add_up(std::map<std::int64_t, SpreadSums>& days) {
  SpreadSums sum;
  for (auto& [day, sums] : days) {
    sum.add(sums);
    sums = sum;
  }
}

SpreadSums sums_before(const std::map<std::int64_t, SpreadSums>& days, std::int64_t day) {
  const auto next = days.lower_bound(day);
  return next == days.begin() ? SpreadSums{} : std::prev(next)->second;
}

}  // namespace

SpreadByDay::SpreadByDay(const StandingInput& input) {
  before_ = spread_elsewhere(input);
  before_.add(input.known_spread);
  before_.add(input.here->unpruned);
  limb_variance_ = limb_sums(input).variance();
  for (const auto& [person, evidence] : input.here->people) {
    Days days = sums_by_day(evidence, limb_variance_);
    for (const auto& [day, sums] : days) block_[day].add(sums);
    add_up(days);
    people_[person] = std::move(days);
  }
  add_up(block_);
}

Spread SpreadByDay::known(const std::string& person, std::int64_t day) const {
  SpreadSums sums = before_;
  sums.add(sums_before(block_, day));
  Spread spread = block_spread(sums);
  const auto found = people_.find(person);
  const SpreadSums own = found != people_.end() ? sums_before(found->second, day) : SpreadSums{};
  const double weight = weight_of_block(spread);
  spread.variance = (weight * spread.variance + std::max(0.0, own.squares)) / (weight + own.df);
  return spread;
}

std::vector<double> SpreadByDay::in_runs(const std::string& person,
                                         const PersonEvidence& evidence) const {
  const double night = Movement{}.day_sd;
  std::vector<double> sds;
  GroupSize rows, days;
  const CountPoint* last = nullptr;
  Spread spread;
  for (const CountPoint& count : evidence.counts) {
    const bool same_day = last && last->day == count.day;
    if (!same_day) spread = known(person, count.day);
    days.add(same_day);
    rows.add(same_day && last->tree.row == count.tree.row);
    const double of_row = std::min(alike_most, rows.typical()) - 1;
    const double of_day = std::min(alike_most, days.typical()) - 1;
    sds.push_back(std::sqrt(
        spread.variance * (1 + of_row * spread.row_share) +
        open_of(count, limb_variance_) +
        of_day * (1 - 1 / days.groups()) * night * night));
    last = &count;
  }
  return sds;
}

}  // namespace nthtree::advice
