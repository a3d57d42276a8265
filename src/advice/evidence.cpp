// SPDX-License-Identifier: Apache-2.0
#include "advice/evidence.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "advice/block_target.h"
#include "advice/live.h"

namespace nthtree::advice {
namespace {

// Tree to tree, a coefficient of variation near 30 %, known as if from four trees: published
// spreads for apple trees run from 15 to 45 % (METHODS.md); too small a guess tells too soon.
constexpr double prior_cv = 0.30, prior_df = 4;
// A person's own spread is drawn towards the block's as if that were known from this many trees.
constexpr double own_spread_df_most = 30;
constexpr double unknown_variance = 1e6;
constexpr double least_share = 0.02;  // of the target: levels below are not told apart

// What told advice does to a level: taken for the most part, and the less sure the more it was.
void move_by_advice(const AdvicePoint& advice, double target_spurs, const Movement& movement,
                    Track& level) {
  if (level.variance > unknown_variance || target_spurs <= 0) return;
  const double before = std::exp(level.mean);
  const double after = std::max(0.2 * before, before - advice.spurs / target_spurs);
  const double told = std::log(after / before);
  level.mean += movement.advice_taken * told;
  const double unsure = movement.advice_share_sd * told;
  level.variance += unsure * unsure + movement.advice_sd * movement.advice_sd;
}

// The filter's state in shares of the target, while it goes through one segment.
struct Linear {
  double mean = 1, variance = 1e9;

  static Linear of(const Track& level) {
    const double mean = std::exp(level.mean);
    const bool known = level.variance < unknown_variance;
    return {mean, known ? level.variance * mean * mean : 1e12};
  }
  void give_back(Track& level) const {
    const double share = std::max(mean, least_share);
    level.mean = std::log(share);
    level.variance = variance / (share * share);
  }
};

void observe(const CountPoint& point, double share, double variance, Linear& state,
             Track& level) {
  const bool known = state.variance < 1e9;
  level.last_surprise = known ? (share - state.mean) / std::sqrt(state.variance + variance) : 0;
  const double gain = state.variance / (state.variance + variance);
  level.unchecked_share = (1 - gain) * level.unchecked_share + gain * (point.check < 0 ? 1 : 0);
  state.mean += gain * (share - state.mean);
  state.variance = gain * variance;
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
  const double target = evidence.has_target ? evidence.target_spurs : 1;
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
    point.share_tag = point.spurs / target;
    if (!checks.by_tree.empty()) {
      if (const auto* check = checks.after(point.tree, it->place, it->author)) {
        point.check = check->body.spurs;
        point.share_check = point.check / target;
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

namespace {

// Walks through a person's counts segment by segment; advice that asks for a change ends one.
class Walker {
 public:
  Walker(const PersonEvidence& person, double target_spurs, const Movement& movement)
      : person_(person), target_spurs_(target_spurs), movement_(movement),
        next_(person.advice.begin()) {}

  void take_advice_before(std::int64_t at_ms, Track& level) {
    for (; next_ != person_.advice.end() && next_->at_ms <= at_ms; ++next_) {
      if (next_->direction == ledger::Direction::on_target) continue;
      move_by_advice(*next_, target_spurs_, movement_, level);
      level.counts_before += level.counts;
      level.counts = level.checks = 0;
      level.after_advice = true;
      level.advised = *next_;
      level.segment_start_ms = next_->at_ms;
      level.last_surprise = 0;
    }
  }
  // One past the last count before the next advice that asks for a change.
  std::size_t segment_end(std::size_t from) const {
    auto advice = next_;
    while (advice != person_.advice.end() &&
           advice->direction == ledger::Direction::on_target) {
      ++advice;
    }
    std::size_t to = from;
    while (to < person_.counts.size() &&
           (advice == person_.advice.end() || person_.counts[to].at_ms < advice->at_ms)) {
      ++to;
    }
    return std::max(to, from + 1);
  }

 private:
  const PersonEvidence& person_;
  double target_spurs_;
  const Movement& movement_;
  std::vector<AdvicePoint>::const_iterator next_;
};

}  // namespace

double CountPoint::log_ratio() const {
  return std::log((check + 0.5) / (spurs + 0.5));
}

double Spread::log_sd() const { return std::sqrt(std::log1p(variance)); }

Track track(const PersonEvidence& person, double target_spurs, double bias_log_mean,
            const Spread& spread, const Movement& movement, const TrackStart& start,
            bool keep_residuals) {
  Track level;
  level.mean = start.mean;
  level.variance = start.variance;
  const double factor = std::exp(bias_log_mean);
  const auto& counts = person.counts;
  Walker walker(person, target_spurs, movement);
  std::int64_t day = counts.empty() ? 0 : counts.front().day;
  for (std::size_t from = 0; from < counts.size();) {
    walker.take_advice_before(counts[from].at_ms, level);
    if (level.segment_start_ms == 0) level.segment_start_ms = counts[from].at_ms;
    const std::size_t to = walker.segment_end(from);
    double scale = 0;
    for (std::size_t i = from; i < to; ++i) scale += counts[i].share(factor);
    // Spread is relative to the segment's own mean, so that all its counts weigh the same.
    scale = std::max(scale / static_cast<double>(to - from), least_share);
    const double variance = spread.variance * spread.inflation() * scale * scale;
    const double overnight = movement.day_sd * scale;
    Linear state = Linear::of(level);
    for (std::size_t i = from; i < to; ++i) {
      if (counts[i].day != day) state.variance += overnight * overnight;
      day = counts[i].day;
      observe(counts[i], counts[i].share(factor), variance, state, level);
      if (keep_residuals) level.residuals.push_back(level.last_surprise);
    }
    state.give_back(level);
    from = to;
  }
  walker.take_advice_before(always, level);
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
  const double factor = std::exp(bias_log_mean);
  const auto& counts = person.counts;
  auto next = person.advice.begin();
  for (std::size_t from = 0; from < counts.size();) {
    while (next != person.advice.end() && next->at_ms <= counts[from].at_ms) ++next;
    std::size_t to = from;
    double sum = 0;
    for (; to < counts.size() && counts[to].day == counts[from].day; ++to) {
      if (next != person.advice.end() && counts[to].at_ms >= next->at_ms) break;
      sum += counts[to].share(factor);
    }
    const double n = static_cast<double>(to - from);
    const double mean = std::max(sum / n, least_share);
    double before = 0;
    for (std::size_t i = from; i < to; ++i) {
      const double e = counts[i].share(factor) / mean - 1;
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
  spread.df = prior_df + block.df;
  spread.variance = (prior_df * prior_cv * prior_cv + block.squares) / spread.df;
  if (block.pairs > 3 && block.squares > 0) {
    // Residuals about a mean of their own lean against each other: one product a mean is missing.
    const double variance = block.squares / std::max(1.0, block.df);
    const double r = block.products / (block.pairs * variance) + 1 / (block.pairs + 1);
    // By chance alone r scatters by 1 / sqrt(pairs); only what lies beyond is believed.
    spread.autocorrelation = std::clamp(r - 1 / std::sqrt(block.pairs), 0.0, 0.6);
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
