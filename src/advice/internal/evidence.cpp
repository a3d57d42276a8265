// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/evidence.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <utility>

#include "advice/known/block_target.h"
#include "advice/internal/count_sums.h"
#include "advice/internal/crew_level.h"
#include "advice/known/floral.h"
#include "advice/known/level_steps.h"
#include "advice/internal/gather_parts.h"
#include "advice/internal/current.h"
#include "advice/internal/looks.h"
#include "advice/internal/sum_tree.h"
#include "base/spare_room.h"

namespace nthtree::advice {
namespace {

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

// The filter's state while it goes through one segment: the level as a share of the target, and
// its variance relative to the level, so that a low count weighs no more than a high one.
struct Linear {
  double mean = 1, variance = 1e9;

  static Linear of(const Track& level) { return {std::exp(level.mean), level.variance}; }
  void give_back(Track& level) const {
    level.mean = std::log(std::max(mean, least_share));
    level.variance = variance;
  }
};

// variance: relative, of one count.
double surprise(double share, double variance, const Linear& state) {
  if (state.variance > unknown_variance) return 0;
  const double mean = std::max(state.mean, least_share);
  return (share - mean) / (mean * std::sqrt(state.variance + variance));
}

void observe(const CountPoint& point, double share, const Spread& spread, Linear& state,
             Track& level) {
  const double variance = spread.variance_of(point);
  const bool flat = state.variance > unknown_variance;
  const double gain = flat ? 1 : state.variance / (state.variance + variance);
  level.unchecked_share = (1 - gain) * level.unchecked_share + gain * (point.has_check() ? 0 : 1);
  state.mean += gain * (share - state.mean);
  state.variance = gain * variance;
  if (point.is_look()) {
    level.looks += point.more().looks;
    level.looks_precision += 1 / point.more().look_variance;
    return;
  }
  ++level.counts;
  level.last_spurs = static_cast<int>(point.spurs);
  level.open += spread.of_one(point) - spread.variance;
  if (point.more().limbs > 0) ++level.part_counts;
  if (point.has_check()) ++level.checks;
}

struct Checks {  // by tree, in time order, each used once
  std::unordered_multimap<std::int64_t, const ledger::Entry<ledger::CheckCount>*> by_tree;

  // The first check of that tree after the tag and before `until`.
  const ledger::Entry<ledger::CheckCount>* after(const orchard::TreeAddress& tree,
                                                 const ledger::FoldPosition& tag,
                                                 const std::string& author) const {
    const ledger::Entry<ledger::CheckCount>* best = nullptr;
    const auto [first, last] = by_tree.equal_range(tree_key(tree));
    for (auto it = first; it != last; ++it) {
      if (it->second->position < tag || it->second->author == author) continue;
      if (!best || it->second->position < best->position) best = it->second;
    }
    return best;
  }
};

// Unpruned trees differ much as pruned ones do; half their weight is kept for the difference.
void gather_unpruned(const ledger::BlockSeason& block, std::int64_t now_ms,
                     BlockEvidence& evidence) {
  double n = 0, sum = 0, squares = 0;
  for_current(block.before_counts, now_ms, [&](const auto& entry) {
    n += 1;
    sum += entry.body.spurs;
    squares += static_cast<double>(entry.body.spurs) * entry.body.spurs;
  });
  if (n > 0) evidence.unpruned_spurs = sum / n;
  if (n < 2 || sum <= 0) return;
  const double mean = sum / n;
  evidence.unpruned.squares = 0.5 * at_least_zero(squares - n * mean * mean) / (mean * mean);
  evidence.unpruned.df = 0.5 * (n - 1);
}

}  // namespace

void BlockEvidence::append(const ledger::Season& season,
                           const ledger::Entry<ledger::TagCount>& entry) {
  CountPoint point;
  point.at_ms = entry.at_ms();
  point.day = static_cast<int>(season.day_of(point.at_ms));
  point.tree = entry.body.tree;
  point.spurs = entry.body.spurs;
  point.share_tag = point.spurs / (has_target ? target_spurs : 1);
  if (entry.body.spurs_after_mend) {
    CountPoint::More& more = point.add_more();
    more.mended = point.spurs - *entry.body.spurs_after_mend;
    more.share_mended = more.mended / (has_target ? target_spurs : 1);
  }
  if (sizes.pays) point.scale(sizes.factor_at(point.tree));
  for (ScorePoint& score : scores) {
    if (score.count >= 0 || score.person != entry.author || score.tree != point.tree) continue;
    score.count = static_cast<int>(people[entry.author].counts.size());
  }
  people[entry.author].add(std::move(point));
}

void PersonEvidence::add(CountPoint point) {
  bare += CountRun::is_bare(point) ? 1 : 0;
  base::make_room(counts);
  counts.push_back(std::move(point));
  bare_few = CountRun::are_few(bare, counts.size());
}

CountRun PersonEvidence::last(std::size_t counts_most) const {
  if (counts.size() <= counts_most) return *this;
  CountRun end;
  end.counts = std::span(counts).last(counts_most);
  const auto first = std::lower_bound(
      advice.begin(), advice.end(), end.counts.front().at_ms,
      [](const AdvicePoint& told, std::int64_t at_ms) { return told.at_ms < at_ms; });
  end.advice = std::span(advice).last(static_cast<std::size_t>(advice.end() - first));
  const auto bare_of_end = std::count_if(end.counts.begin(), end.counts.end(), CountRun::is_bare);
  end.bare_few = CountRun::are_few(static_cast<std::size_t>(bare_of_end), counts_most);
  return end;
}

PersonEvidence with_looks(const PersonEvidence& person, const std::vector<CountPoint>& looks) {
  PersonEvidence all = person;
  all.counts.insert(all.counts.end(), looks.begin(), looks.end());
  std::stable_sort(all.counts.begin(), all.counts.end(),
                   [](const CountPoint& a, const CountPoint& b) { return a.at_ms < b.at_ms; });
  return all;
}

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
  if (evidence.target_log_sd > 0) {
    evidence.branches_more = floral_fraction(block).branches_for_verdicts;
  }
  Checks checks;
  for_current(block.check_counts, now_ms, [&](const auto& entry) {
    if (entry.at_ms() >= since_ms) checks.by_tree.emplace(tree_key(entry.body.tree), &entry);
  });
  const auto& tags = block.tag_counts;
  auto it = std::lower_bound(tags.begin(), tags.end(), since_ms,
                             [](const auto& e, std::int64_t ms) { return e.at_ms() < ms; });
  for (; it != tags.end() && it->at_ms() <= now_ms; ++it) {
    if (!ledger::is_current(*it)) continue;
    evidence.append(season, *it);
    if (checks.by_tree.empty()) continue;
    if (const auto* check = checks.after(it->body.tree, it->position, it->author)) {
      CountPoint::More& more = evidence.people[it->author].counts.back().add_more();
      more.check = check->body.spurs;
      more.share_check = more.check / (evidence.has_target ? evidence.target_spurs : 1);
    }
  }
  gather_part_counts(season, block, since_ms, now_ms, evidence);
  evidence.sizes = size_classes(block, now_ms);
  gather_scores(season, block, since_ms, now_ms, evidence);
  scale_by_size(evidence.sizes, evidence);
  gather_unpruned(block, now_ms, evidence);
  for_current(block.advice, now_ms, [&](const auto& entry) {
    if (entry.at_ms() < since_ms) return;
    const double spurs = entry.body.direction == ledger::Direction::lighter
                             ? -std::fabs(entry.body.spurs_per_tree_to_change)
                             : std::fabs(entry.body.spurs_per_tree_to_change);
    evidence.people[entry.body.person].advice.push_back(
        {entry.at_ms(), entry.body.direction, spurs});
  });
  for (auto& [id, person] : evidence.people) base::give_back_room(person.counts);
  return evidence;
}

namespace {

LevelStep told_step(const AdvicePoint& advice, const Track& before, const Track& after) {
  LevelStep step;
  step.kind = LevelStep::Kind::advised;
  step.told_spurs = advice.spurs;
  step.told_log = after.mean - before.mean;
  step.mean_before = before.mean;
  step.variance_before = before.variance;
  step.mean_after = after.mean;
  step.variance_after = after.variance;
  return step;
}

// Walks through a person's counts segment by segment; advice that asks for a change ends one.
class Walker {
 public:
  Walker(const CountRun& run, double target_spurs, const Movement& movement)
      : run_(run), target_spurs_(target_spurs), movement_(movement),
        next_(run.advice.begin()) {}

  void take_advice_before(std::int64_t at_ms, Track& level, std::vector<LevelStep>* steps) {
    for (; next_ != run_.advice.end() && next_->at_ms <= at_ms; ++next_) {
      if (next_->direction == ledger::Direction::on_target) continue;
      const Track before = level;
      move_by_advice(*next_, target_spurs_, movement_, level);
      if (steps) steps->push_back(told_step(*next_, before, level));
      level.counts_before += level.counts;
      level.checks_before += level.checks;
      level.counts = level.checks = level.looks = level.part_counts = 0;
      level.looks_precision = level.open = 0;
      level.after_advice = true;
      level.advised = *next_;
      level.segment_start_ms = next_->at_ms;
      level.last_surprise = 0;
    }
  }
  // One past the last count before the next advice that asks for a change.
  std::size_t segment_end(std::size_t from) const {
    auto advice = next_;
    while (advice != run_.advice.end() && advice->direction == ledger::Direction::on_target) {
      ++advice;
    }
    const auto& counts = run_.counts;
    if (advice == run_.advice.end()) return counts.size();
    const auto later = std::lower_bound(
        counts.begin(), counts.end(), advice->at_ms,
        [](const CountPoint& point, std::int64_t at_ms) { return point.at_ms < at_ms; });
    const auto to = static_cast<std::size_t>(later - counts.begin());
    return std::max(to, from + 1);
  }

 private:
  const CountRun& run_;
  double target_spurs_;
  const Movement& movement_;
  std::span<const AdvicePoint>::iterator next_;
};

}  // namespace

const CountPoint::More CountPoint::none;

double CountPoint::log_ratio() const {
  return CountedTwice{spurs - more().mended, more().check}.log_ratio();
}

void CountPoint::scale(double factor) {
  share_tag /= factor;
  if (!has_more()) return;
  add_more().share_mended /= factor;
  add_more().share_check /= factor;
}

int Movement::nights_between(std::int64_t day, std::int64_t later) const {
  return static_cast<int>(std::clamp<std::int64_t>(later - day, 0, nights_most));
}

double Spread::log_sd() const { return std::sqrt(std::log1p(variance)); }

namespace {

// One more count of the day, and the level after it.
void add_to_day(const CountPoint& count, double share, const Linear& state, LevelStep& step) {
  step.mean_after = state.mean;
  step.variance_after = state.variance;
  if (count.is_look()) {
    step.looks.push_back({count.more().looks, share, count.more().look_variance});
    return;
  }
  ++step.n;
  if (count.more().limbs > 0) {
    ++step.parts;
    step.open += open_of(count, step.limb_variance);
  }
  step.mean_share += (share - step.mean_share) / step.n;
  if (count.has_check()) {
    step.checks += count.more().check;
    step.tags += count.more().mended;
  } else {
    step.tags += count.spurs;
  }
}

// The day's step as it begins; its counts are added one by one.
LevelStep day_step(std::int64_t day, const Linear& state, int nights, double night_variance,
                   const Spread& spread) {
  LevelStep step;
  step.day = day;
  step.spread = spread.variance;
  step.inflation = spread.inflation();
  step.limb_variance = spread.limb_variance;
  step.variance_of_one = step.spread * step.inflation;
  step.nights = nights;
  step.night_variance = night_variance;
  step.flat = state.variance > unknown_variance;
  step.mean_before = state.mean;
  step.variance_before = state.variance;
  return step;
}

// The counts of a day at once: with nothing in between they only add up.
void observe_day(const DayCounts& counted, double factor, double variance, Linear& state,
                 Track& level) {
  level.counts += counted.counts;
  level.checks += counted.checked;
  if (counted.used == 0) return;
  level.last_spurs = counted.last_spurs;
  const double n = counted.used, share = (counted.checks + factor * counted.tags) / n;
  const bool flat = state.variance > unknown_variance;
  const double gain = flat ? 1 : n * state.variance / (n * state.variance + variance);
  const double unchecked = (n - counted.checked) / n;
  level.unchecked_share = (1 - gain) * level.unchecked_share + gain * unchecked;
  state.mean += gain * (share - state.mean);
  state.variance = gain * variance / n;
}

// Hands out the days that were added up, each where it begins.
class Days {
 public:
  explicit Days(std::span<const DayCounts> days) : next_(days) {}
  // The day of whole counts that begins at a count; counts come in order.
  const DayCounts* whole_at(std::size_t count) {
    if (next_.empty() || count != begin_) return nullptr;
    const DayCounts& counted = next_.front();
    begin_ += static_cast<std::size_t>(counted.counts);
    next_ = next_.subspan(1);
    return counted.whole ? &counted : nullptr;
  }

 private:
  std::span<const DayCounts> next_;
  std::size_t begin_ = 0;
};

Track follow(const CountRun& run, double target_spurs, double bias_log_mean, const Spread& spread,
             const Movement& movement, const TrackStart& start, std::span<const DayCounts> days,
             std::vector<LevelStep>* steps) {
  Track level;
  level.mean = start.mean;
  level.variance = start.variance;
  const double factor = std::exp(bias_log_mean);
  const double variance_of_whole = spread.variance_of({});
  const auto& counts = run.counts;
  Walker walker(run, target_spurs, movement);
  Days sums(days);
  std::int64_t day = counts.empty() ? 0 : counts.front().day;
  std::size_t last_count = counts.size();  // one past it: looks may follow
  while (last_count > 0 && counts[last_count - 1].is_look()) --last_count;
  for (std::size_t from = 0; from < counts.size();) {
    walker.take_advice_before(counts[from].at_ms, level, steps);
    if (level.segment_start_ms == 0) level.segment_start_ms = counts[from].at_ms;
    const std::size_t to = walker.segment_end(from);
    Linear state = Linear::of(level);
    for (std::size_t i = from; i < to; ++i) {
      // The counts of such a day are not even looked at: in a season's memory each is far away.
      const DayCounts* counted = sums.whole_at(i);
      const std::int64_t day_before = std::exchange(day, counted ? counted->day : counts[i].day);
      const int nights = movement.nights_between(day_before, day);
      const double loosened = nights * movement.day_sd * movement.day_sd;
      state.variance += loosened;
      if (counted) {
        observe_day(*counted, factor, variance_of_whole, state, level);
        i += static_cast<std::size_t>(counted->counts) - 1;
        continue;
      }
      if (steps && (nights > 0 || i == from)) {
        steps->push_back(day_step(day, state, nights, loosened, spread));
      }
      if (run.sets_aside(counts[i])) {
        ++level.counts;
        continue;
      }
      const double share = counts[i].share(factor);
      // The square root is worth saving: a season has tens of thousands of counts a block.
      if (i + 1 == last_count) {
        level.last_surprise = surprise(share, spread.of_one(counts[i]), state);
      }
      observe(counts[i], share, spread, state, level);
      if (steps) add_to_day(counts[i], share, state, steps->back());
    }
    state.give_back(level);
    level.last_ms = counts[to - 1].at_ms;
    from = to;
  }
  walker.take_advice_before(always, level, steps);
  return level;
}

}  // namespace

Track track(const CountRun& run, double target_spurs, double bias_log_mean, const Spread& spread,
            const Movement& movement, const TrackStart& start, std::span<const DayCounts> sums) {
  return follow(run, target_spurs, bias_log_mean, spread, movement, start, sums, nullptr);
}

Track track_with_steps(const CountRun& run, double target_spurs, double bias_log_mean,
                       const Spread& spread, const Movement& movement, const TrackStart& start,
                       std::vector<LevelStep>& steps) {
  if (start.variance < unknown_variance) {
    LevelStep first;
    first.kind = LevelStep::Kind::start;
    first.mean_after = start.mean;
    first.variance_after = start.variance;
    steps.push_back(first);
  }
  return follow(run, target_spurs, bias_log_mean, spread, movement, start, {}, &steps);
}

void WeighedLevel::add(const WeighedLevel& other) {
  precision += other.precision;
  sum += other.sum;
}

TrackStart WeighedLevel::start() const {
  return precision > 0 ? TrackStart{sum / precision, 1 / precision} : TrackStart{};
}

void BlockLevels::add(const BlockLevels& other) {
  add_each(other.people, people);
  add_each(other.eyes, eyes);
  spread.add(other.spread);
  limbs.add(other.limbs);
}

BlockLevels levels_in(const BlockEvidence& block, const CountingBias& bias,
                      const Movement& movement, LastOfPeople* kept) {
  BlockLevels levels;
  if (block.people.empty()) return levels;
  const double limb_variance = block.limbs.variance();
  LastOfPeople anew;
  LastOfPeople& last = kept ? *kept : anew;
  for (const auto& [person, evidence] : block.people) {
    if (evidence.counts.empty()) continue;
    LastSums& own = last[person];
    own.take(evidence, bias.of(person).log_mean, limb_variance);
    levels.spread.add(own.spread());
  }
  levels.limbs = block.limbs;
  levels.eyes = eye_sums(block, bias, limb_variance);
  levels.spread.add(block.unpruned);
  if (!block.has_target) return levels;
  Spread spread = block_spread(levels.spread);
  spread.limb_variance = limb_variance;
  const double loosened = movement.block_sd * movement.block_sd +
                          block.target_log_sd * block.target_log_sd;
  for (const auto& [person, evidence] : block.people) {
    if (evidence.counts.empty()) continue;
    const LastSums& own = last[person];
    const Track level = track(own.run(), block.target_spurs, bias.of(person).log_mean, spread,
                              movement, {}, own.days());
    const double variance = level.variance + loosened;
    levels.people[person] = {1 / variance, level.mean / variance};
  }
  return levels;
}

}  // namespace nthtree::advice
