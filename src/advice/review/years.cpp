// SPDX-License-Identifier: Apache-2.0
#include "advice/review/years.h"

#include <algorithm>
#include <cmath>

#include "advice/judged/acceptance.h"
#include "advice/known/block_target.h"

namespace nthtree::advice {
namespace {

constexpr double much_off = 0.1;        // of the factor: less is not worth a word
constexpr double few_return_share = 0.3;  // an off-year follows: common practice, no source
constexpr double much_return_share = 0.7;

SeasonOfBlock season_of(const ledger::Season& season, const std::string& block,
                        const ledger::SeasonSpan& span, std::int64_t now_ms) {
  SeasonOfBlock out;
  out.year = span.year;
  out.is_closed = span.year != 0;
  if (const auto target = block_target(season, block)) {
    out.planned = target->target.spurs_to_leave_per_tree.value;
  }
  const Acceptance done = accept_block(season, block, std::min(span.to_ms, now_ms));
  out.counts = done.counts;
  out.left = done.mean;
  out.learnt = learn(season, block);
  return out;
}

void take_return_bloom(const Learning& from, Learning& to) {
  to.return_trees = from.return_trees;
  to.return_bloom = from.return_bloom;
  to.return_floral = from.return_floral;
  to.return_spurs = from.return_spurs;
}

// Where seasons were closed, what is counted of return bloom is of the season before.
void shift_return_bloom(std::vector<SeasonOfBlock>& seasons) {
  if (seasons.size() < 2) return;
  for (std::size_t i = 0; i + 1 < seasons.size(); ++i) {
    take_return_bloom(seasons[i + 1].learnt, seasons[i].learnt);
  }
  take_return_bloom({}, seasons.back().learnt);
}

std::optional<orchard::BiennialIndex> bearing_of(const std::vector<SeasonOfBlock>& seasons) {
  std::vector<double> crops;
  for (const SeasonOfBlock& season : seasons) {
    if (season.learnt.picked_trees > 0) crops.push_back(season.learnt.picked_per_tree);
  }
  const auto index = orchard::biennial_index(crops);
  return index ? std::optional(*index) : std::nullopt;
}

}  // namespace

BlockYears block_years(const ledger::Season& season, const std::string& block,
                       std::int64_t now_ms) {
  BlockYears years;
  years.block = block;
  const auto& spans = season.spans();
  for (std::size_t i = 0; i + 1 < spans.size(); ++i) {
    years.seasons.push_back(season_of(season.as_of_span(i), block, spans[i], now_ms));
  }
  years.seasons.push_back(season_of(season, block, spans.back(), now_ms));
  shift_return_bloom(years.seasons);
  years.bearing = bearing_of(years.seasons);
  return years;
}

NextTarget next_target(const ledger::Season& season, const std::string& block) {
  NextTarget next;
  const ledger::BlockSeason* found = season.block(block);
  const auto target = block_target(season, block);
  if (!found || !found->block || !target) return next;
  const Learning learnt = learn(season, block);
  next.known = learnt.harvest_trees > 0 && learnt.fruits > 0 && learnt.flowering > 0;
  next.insurance_now = found->block->target.insurance_factor;
  next.insurance_next =
      next.known ? std::round(100 * learnt.insurance.value) / 100 : next.insurance_now;
  next.leave_now = target->target.spurs_to_leave_per_tree.value;
  next.leave_in_hindsight = next.known ? learnt.spurs_to_leave_in_hindsight : next.leave_now;
  next.reasons.push_back(learnt.reason);
  if (!next.known) return next;
  const double change = next.insurance_next / next.insurance_now - 1;
  if (change > much_off) {
    next.reasons.push_back({"next_set_less", {{"percent", 100 * learnt.set_per_spur.value}}});
  } else if (change < -much_off) {
    next.reasons.push_back({"next_set_more", {{"percent", 100 * learnt.set_per_spur.value}}});
  } else {
    next.reasons.push_back({"next_set_as_thought", {}});
  }
  if (learnt.return_trees == 0) return next;
  if (learnt.return_bloom.value < few_return_share) next.reasons.push_back({"next_off_year", {}});
  if (learnt.return_bloom.value > much_return_share) next.reasons.push_back({"next_on_year", {}});
  return next;
}

}  // namespace nthtree::advice
