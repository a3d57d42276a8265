// SPDX-License-Identifier: Apache-2.0
#include "advice/evidence.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "advice/block_target.h"
#include "advice/live.h"

namespace nthtree::advice {
namespace {

// Tree to tree, a coefficient of variation near 26 %, known as if from eight trees: published
// spreads for apple trees run from 15 to 45 % (METHODS.md).
constexpr double prior_log_sd = 0.26, prior_df = 8;
// A person's own spread is drawn towards the block's as if that were known from this many trees.
constexpr double own_spread_df_most = 12;

double corrected(const CountPoint& point, double bias_log_mean) {
  return point.check >= 0 ? point.log_check : point.log_tag + bias_log_mean;
}

// What told advice does to a level: taken for the most part, and the less sure the more it was.
void move_by_advice(const AdvicePoint& advice, double target_spurs, const Movement& movement,
                    Track& level) {
  if (level.variance > 1e6 || target_spurs <= 0) return;
  const double before = std::exp(level.mean);
  const double after = std::max(0.2 * before, before - advice.spurs / target_spurs);
  const double told = std::log(after / before);
  level.mean += movement.advice_taken * told;
  const double unsure = movement.advice_share_sd * told;
  level.variance += unsure * unsure + movement.advice_sd * movement.advice_sd;
}

void observe(const CountPoint& point, double y, double variance, Track& level) {
  const double spread = level.variance > 1e6 ? 0 : std::sqrt(level.variance + variance);
  level.last_surprise = spread > 0 ? (y - level.mean) / spread : 0;
  const double gain = level.variance / (level.variance + variance);
  level.unchecked_share = (1 - gain) * level.unchecked_share + gain * (point.check < 0 ? 1 : 0);
  level.mean += gain * (y - level.mean);
  level.variance *= 1 - gain;
  level.last_ms = point.at_ms;
  level.last_spurs = static_cast<int>(point.spurs);
  ++level.counts;
  if (point.check >= 0) ++level.checks;
}

struct Checks {  // by tree, in time order, each used once
  std::unordered_multimap<std::int64_t, const ledger::Entry<ledger::CheckCount>*> by_tree;

  // The first check of that tree after the tag and before `until`.
  const ledger::Entry<ledger::CheckCount>* after(const orchard::TreeAddress& tree,
                                                 const ledger::Place& tag,
                                                 const std::string& author) const {
    const ledger::Entry<ledger::CheckCount>* best = nullptr;
    const auto [first, last] = by_tree.equal_range(tree_key(tree));
    for (auto it = first; it != last; ++it) {
      if (it->second->place < tag || it->second->author == author) continue;
      if (!best || it->second->place < best->place) best = it->second;
    }
    return best;
  }
};

}  // namespace

BlockEvidence gather(const ledger::Season& season, const ledger::BlockSeason& block,
                     std::int64_t since_ms, std::int64_t now_ms) {
  BlockEvidence evidence;
  evidence.block = block.id;
  if (const auto target = block_target(block)) {
    evidence.has_target = target->target.spurs_to_leave_per_tree.value > 0;
    evidence.target = target->target;
    evidence.target_spurs = target->target.spurs_to_leave_per_tree.value;
    evidence.target_log_sd = target->log_sd;
  }
  const double log_target = evidence.has_target ? std::log(evidence.target_spurs) : 0;
  Checks checks;
  for_live(block.check_counts, now_ms, [&](const auto& entry) {
    if (entry.at_ms() >= since_ms) checks.by_tree.emplace(tree_key(entry.body.tree), &entry);
  });
  const auto& tags = block.tag_counts;
  auto it = std::lower_bound(tags.begin(), tags.end(), since_ms,
                             [](const auto& e, std::int64_t ms) { return e.at_ms() < ms; });
  for (; it != tags.end() && it->at_ms() <= now_ms; ++it) {
    if (it->withdrawn) continue;
    CountPoint point;
    point.at_ms = it->at_ms();
    point.day = season.day_of(point.at_ms);
    point.tree = it->body.tree;
    point.spurs = it->body.spurs;
    point.log_tag = log_count(point.spurs) - log_target;
    if (!checks.by_tree.empty()) {
      if (const auto* check = checks.after(point.tree, it->place, it->author)) {
        point.check = check->body.spurs;
        point.log_check = log_count(point.check) - log_target;
      }
    }
    evidence.people[it->author].counts.push_back(point);
  }
  for_live(block.advice, now_ms, [&](const auto& entry) {
    if (entry.at_ms() < since_ms) return;
    const double spurs = entry.body.direction == ledger::Direction::lighter
                             ? -std::fabs(entry.body.spurs_per_tree)
                             : std::fabs(entry.body.spurs_per_tree);
    evidence.people[entry.body.person].advice.push_back(
        {entry.at_ms(), entry.body.direction, spurs});
  });
  return evidence;
}

Track track(const PersonEvidence& person, double target_spurs, double bias_log_mean,
            const Spread& spread, const Movement& movement, const TrackStart& start,
            bool keep_residuals) {
  Track level;
  level.mean = start.mean;
  level.variance = start.variance;
  const double half = spread.variance / 2;  // the mean of a log-normal lies this much higher
  const double variance = spread.variance * spread.inflation();
  std::int64_t day = 0;
  auto next = person.advice.begin();
  const auto take_advice = [&] {
    if (next->direction != ledger::Direction::on_target) {
      move_by_advice(*next, target_spurs, movement, level);
      level.counts_before += level.counts;
      level.counts = level.checks = 0;
      level.after_advice = true;
      level.advised = *next;
      level.segment_start_ms = next->at_ms;
      level.last_surprise = 0;
    }
    ++next;
  };
  for (const CountPoint& point : person.counts) {
    while (next != person.advice.end() && next->at_ms <= point.at_ms) take_advice();
    if (level.last_ms != 0 && point.day != day && level.variance < 1e6) {
      level.variance += movement.day_sd * movement.day_sd;
    }
    day = point.day;
    if (level.segment_start_ms == 0) level.segment_start_ms = point.at_ms;
    observe(point, corrected(point, bias_log_mean) + half, variance, level);
    if (keep_residuals) level.residuals.push_back(level.last_surprise);
  }
  while (next != person.advice.end()) take_advice();
  return level;
}

void SpreadSums::add(const SpreadSums& other) {
  squares += other.squares;
  df += other.df;
  products += other.products;
  pairs += other.pairs;
}

SpreadSums spread_sums(const PersonEvidence& person, double bias_log_mean) {
  SpreadSums sums;
  const auto& counts = person.counts;
  auto next = person.advice.begin();
  for (std::size_t from = 0; from < counts.size();) {
    while (next != person.advice.end() && next->at_ms <= counts[from].at_ms) ++next;
    std::size_t to = from;
    double sum = 0;
    for (; to < counts.size() && counts[to].day == counts[from].day; ++to) {
      if (next != person.advice.end() && counts[to].at_ms >= next->at_ms) break;
      sum += corrected(counts[to], bias_log_mean);
    }
    const double n = static_cast<double>(to - from);
    const double mean = sum / n;
    double before = 0;
    for (std::size_t i = from; i < to; ++i) {
      const double e = corrected(counts[i], bias_log_mean) - mean;
      sums.squares += e * e;
      if (i > from) sums.products += e * before;
      before = e;
    }
    sums.df += n - 1;
    sums.pairs += n - 1;
    from = to;
  }
  return sums;
}

Spread block_spread(const SpreadSums& block) {
  Spread spread;
  const double df = prior_df + block.df;
  spread.variance = (prior_df * prior_log_sd * prior_log_sd + block.squares) / df;
  spread.df = df;
  if (block.pairs > 0 && block.squares > 0) {
    // Residuals about a mean of their own lean against each other: one product a mean is missing.
    const double variance = block.squares / std::max(1.0, block.df);
    const double r = block.products / (block.pairs * variance) + 1 / (block.pairs + 1);
    spread.autocorrelation = std::clamp(r * block.pairs / (block.pairs + 30), 0.0, 0.6);
  }
  return spread;
}

Spread person_spread(const SpreadSums& person, const Spread& block) {
  Spread spread = block;
  const double weight = std::min(own_spread_df_most, block.df);
  spread.variance = (weight * block.variance + person.squares) / (weight + person.df);
  spread.df = weight + person.df;
  return spread;
}

}  // namespace nthtree::advice
