// SPDX-License-Identifier: Apache-2.0
#include "work_week.h"

#include <algorithm>
#include <cmath>

#include "preparations.h"

namespace nthtree::scenario {
namespace {

constexpr double morning_from = 7.5, morning_to = 12, afternoon_from = 12.5, afternoon_to = 16;
constexpr int rainy_day = 2;           // its afternoon is lost
constexpr int young_block = 4;         // pruned by three on the last day
constexpr double share_checked = 0.1;  // of tagged trees, by a lead
constexpr double share_of_parts_checked = 0.25;
constexpr double share_mended = 0.4;   // of counts far over the target
constexpr double mend_from = 1.25;     // of the target
constexpr double seconds_per_spur = 0.4;
constexpr int every_slip = 311;        // each so many-th count is mistyped and mended
constexpr int withdrawn_count = 700;   // this one was another tree

// A quarter weak, a quarter strong; the block's mean is that of its middling trees.
std::pair<ledger::SizeClass, double> size_of_tree(const BlockPlan& block, base::Random& random) {
  if (block.size_step <= 0) return {ledger::SizeClass::middling, 1.0};
  const double u = random.uniform();
  if (u < 0.25) return {ledger::SizeClass::weak, 1 - block.size_step};
  if (u < 0.75) return {ledger::SizeClass::middling, 1.0};
  return {ledger::SizeClass::strong, 1 + block.size_step};
}

}  // namespace

WorkWeek::WorkWeek(const Options& options, const FarmPlan& farm, base::Random& random,
                   Diary& diary)
    : options_(options),
      farm_(farm),
      random_(random),
      diary_(diary),
      hands_(farm.pruners.size()),
      next_row_(farm.blocks.size(), 1),
      started_(farm.blocks.size(), false),
      finished_(farm.blocks.size(), false),
      parts_(random) {
  for (const BlockPlan& plan : farm.blocks) {
    std::vector<double> effects;
    for (int row = 0; row < plan.block.rows; ++row) {
      effects.push_back(plan.row_log_sd * random_.normal());
    }
    row_effect_.push_back(std::move(effects));
  }
}

void WorkWeek::run() {
  for (int day = 0; day < options_.days; ++day) {
    if (day % 7 == 6) continue;  // Sunday
    for (const int gang : {0, 1}) day_effect_[{gang, day}] = farm_.day_log_sd * random_.normal();
    half_day(day, morning_from, morning_to);
    advise(day);
    if (day != rainy_day) half_day(day, afternoon_from, afternoon_to);
  }
}

std::size_t WorkWeek::block_on(std::size_t pruner, int day) const {
  const PrunerPlan& plan = farm_.pruners[pruner];
  if (day == options_.days - 1 && plan.gang == 1 && pruner + 3 >= farm_.pruners.size()) {
    return young_block;
  }
  const auto planned = static_cast<std::size_t>(farm_.block_of(plan.gang, day, options_.days));
  const auto second = static_cast<std::size_t>(plan.gang) + 2;
  return next_row_[planned] > farm_.blocks[planned].block.rows ? second : planned;
}

void WorkWeek::half_day(int day, double from_hour, double to_hour) {
  for (std::size_t p = 0; p < hands_.size(); ++p) {
    Hand& hand = hands_[p];
    hand.hour = hand.spell_start = from_hour + 0.15 * random_.uniform();
    hand.spell_trees = 0;
  }
  // Whoever is earliest takes the next tree, so that rows are handed out as in a real block.
  std::vector<bool> busy(hands_.size(), true);
  for (;;) {
    std::size_t first = hands_.size();
    for (std::size_t p = 0; p < hands_.size(); ++p) {
      if (busy[p] && (first == hands_.size() || hands_[p].hour < hands_[first].hour)) first = p;
    }
    if (first == hands_.size()) break;
    busy[first] = step(first, day, to_hour);
    if (!busy[first]) end_spell(first, day);
  }
  if (options_.limbs == 0) leads_check(day, from_hour, to_hour);
  if (options_.walk > 0) leads_walk(day, to_hour);
}

bool WorkWeek::step(std::size_t pruner, int day, double to_hour) {
  Hand& hand = hands_[pruner];
  const PrunerPlan& plan = farm_.pruners[pruner];
  if (!next_tree(pruner, day)) return false;
  if (!started_[hand.block]) {
    started_[hand.block] = true;
    progress(hand.block, ledger::BlockStep::started, moment(options_, farm_, day, hand.hour));
  }
  const double usual = 1 / plan.trees_per_hour;
  hand.hour += usual * random_.gamma(12) / 12;
  ++hand.spell_trees;
  const auto& block = farm_.blocks[hand.block].block;
  if (block.index_of({hand.row, hand.tree}) % block.stride == block.stride_start - 1) {
    options_.limbs > 0 ? count_limbs(pruner, day) : count(pruner, day);
  } else if (options_.looks > 0 || options_.walk > 0) {
    look_at(pruner, day);
  }
  return hand.hour < to_hour;
}

bool WorkWeek::next_tree(std::size_t pruner, int day) {
  Hand& hand = hands_[pruner];
  if (hand.row > 0) {
    const int end = hand.walks_up ? farm_.blocks[hand.block].block.trees_in_row(hand.row) : 1;
    if (hand.tree != end) {
      hand.tree += hand.walks_up ? 1 : -1;
      return true;
    }
    hand.row = 0;
  }
  const std::size_t next_block = block_on(pruner, day);
  if (next_block != hand.block) {
    end_spell(pruner, day);
    hand.block = next_block;
  }
  const auto& block = farm_.blocks[hand.block].block;
  int& next = next_row_[hand.block];
  if (next > block.rows) return false;
  hand.row = next++;
  hand.walks_up = hand.row % 2 == 1;
  hand.tree = hand.walks_up ? 1 : block.trees_in_row(hand.row);
  return true;
}

double WorkWeek::level(const PrunerPlan& plan, int day, double hour) const {
  const double now = day + std::clamp((hour - morning_from) / (afternoon_to - morning_from),
                                      0.0, 1.0);
  const double level = plan.advised_on_day >= 0 && now >= plan.advised_on_day + 0.53
                           ? plan.level_after_advice
                           : plan.level;
  return level + std::min(plan.drift_most,
                          plan.drift_per_day * std::max(0.0, now - plan.drift_day));
}

int WorkWeek::as_written(const PrunerPlan& plan, double truth) {
  // Misses vary from tree to tree; now and then a spur is counted twice.
  const double missed = static_cast<double>(
      random_.poisson(truth * plan.miss_share * std::exp(0.25 * random_.normal())));
  const double doubled = static_cast<double>(random_.poisson(truth * 0.004));
  const double written = std::max(0.0, truth - missed + doubled);
  if (random_.chance(plan.rounds_to_fives)) return 5 * static_cast<int>(std::lround(written / 5));
  return static_cast<int>(written);
}

void WorkWeek::maybe_mend(ledger::TagCount& tag, double target) {
  if (tag.spurs < mend_from * target || !random_.chance(share_mended)) return;
  const double left = target * (0.98 + 0.1 * random_.uniform());
  tag.spurs_after_mend = std::min(tag.spurs, static_cast<int>(left));
}

WorkWeek::Grown WorkWeek::grow(std::size_t pruner, int day) {
  const Hand& hand = hands_[pruner];
  const PrunerPlan& plan = farm_.pruners[pruner];
  const BlockPlan& block = farm_.blocks[hand.block];
  const auto [size, factor] = size_of_tree(block, random_);
  const double mean = factor * block.told_target *
      std::exp(level(plan, day, hand.hour) + day_effect_[{plan.gang, day}] +
               row_effect_[hand.block][static_cast<std::size_t>(hand.row - 1)]);
  const double k = plan.own_k > 0 ? plan.own_k : block.tree_k;
  return {static_cast<double>(std::min<std::int64_t>(4900, random_.negative_binomial(mean, k))),
          size};
}

// One tap before the count, in the block where trees differ; three in twenty are off by a class.
void WorkWeek::say_size(std::size_t pruner, std::int64_t at_ms, const Grown& grown) {
  const Hand& hand = hands_[pruner];
  const BlockPlan& block = farm_.blocks[hand.block];
  if (block.size_step <= 0) return;
  ledger::SizeClass said = grown.size;
  if (random_.chance(0.15)) {
    said = grown.size != ledger::SizeClass::middling ? ledger::SizeClass::middling
           : random_.chance(0.5)                     ? ledger::SizeClass::weak
                                                     : ledger::SizeClass::strong;
  }
  const PrunerPlan& plan = farm_.pruners[pruner];
  diary_.note(at_ms, plan.device, plan.person.id,
              ledger::TreeSize{block.block.id, {hand.row, hand.tree}, said, {}});
}

// What is seen of a tree before its limbs are counted, and then the limbs.
void WorkWeek::count_limbs(std::size_t pruner, int day) {
  Hand& hand = hands_[pruner];
  const PrunerPlan& plan = farm_.pruners[pruner];
  const orchard::Block& block = farm_.blocks[hand.block].block;
  const orchard::TreeAddress tree{hand.row, hand.tree};
  const Grown grown = grow(pruner, day);
  const double truth = grown.spurs;
  const std::int64_t at_ms = moment(options_, farm_, day, hand.hour);
  if (options_.looks > 0) {
    const int seen = parts_.score(plan.person.id, day, truth, plan.eye_scatter);
    diary_.note(at_ms, plan.device, plan.person.id, ledger::EyeScore{block.id, tree, "", seen, 5});
  }
  const ledger::LimbCounts counted = parts_.count_limbs(
      truth, 1 - plan.miss_share, options_.limbs, orchard::seed_of_tree(options_.seed, tree));
  hand.hour += (counted.seconds + 10) / 3600.0;
  const std::int64_t done_ms = moment(options_, farm_, day, hand.hour);
  say_size(pruner, done_ms, grown);
  diary_.note(done_ms, plan.device, plan.person.id, ledger::PartCount{block.id, tree, counted});
  tagged_.push_back({pruner, hand.block, tree, done_ms, truth, 1, true});
  // About one a day of each pruner is counted again by a lead: the same limbs.
  if (!random_.chance(share_of_parts_checked)) return;
  const auto lead = static_cast<std::size_t>(plan.gang) % farm_.leads.size();
  ledger::LimbCounts again = counted;
  for (int& limb : again.limbs) {
    const double seen = limb / (1 - plan.miss_share) * (1 - farm_.lead_miss_share);
    limb = static_cast<int>(std::lround(seen));
  }
  diary_.note(done_ms + 1800000, farm_.lead_devices[lead], farm_.leads[lead].id,
              ledger::PartCheck{block.id, tree, again});
}

void WorkWeek::look_at(std::size_t pruner, int day) {
  const Hand& hand = hands_[pruner];
  const PrunerPlan& plan = farm_.pruners[pruner];
  constexpr double trees_a_day = 190;
  const bool own = random_.chance(options_.looks / trees_a_day);
  const bool walked = random_.chance(options_.walk / trees_a_day);
  if (!own && !walked) return;
  const Grown grown = grow(pruner, day);
  const double truth = grown.spurs;
  const std::int64_t at_ms = moment(options_, farm_, day, hand.hour);
  const orchard::TreeAddress tree{hand.row, hand.tree};
  say_size(pruner, at_ms, grown);
  if (own) {
    const int seen = parts_.score(plan.person.id, day, truth, plan.eye_scatter);
    diary_.note(at_ms, plan.device, plan.person.id,
                ledger::EyeScore{farm_.blocks[hand.block].block.id, tree, "", seen, 5});
  }
  if (walked) seen_.push_back({pruner, hand.block, tree, truth});
}

// At the end of a half day: past the trees kept in mind and the tagged ones among them.
void WorkWeek::leads_walk(int day, double at_hour) {
  for (; walked_tags_ < tagged_.size(); ++walked_tags_) {
    const TaggedTree& tagged = tagged_[walked_tags_];
    seen_.push_back({tagged.pruner, tagged.block, tagged.tree, tagged.truth});
  }
  std::int64_t at_ms = moment(options_, farm_, day, at_hour + 0.05);
  for (const Seen& seen : seen_) {
    const PrunerPlan& plan = farm_.pruners[seen.pruner];
    const auto lead = static_cast<std::size_t>(plan.gang) % farm_.leads.size();
    const std::string& name = farm_.leads[lead].id;
    at_ms += 5000;
    diary_.note(at_ms, farm_.lead_devices[lead], name,
                ledger::EyeScore{farm_.blocks[seen.block].block.id, seen.tree, plan.person.id,
                                 parts_.score(name, day, seen.truth), 5});
  }
  seen_.clear();
}

void WorkWeek::count(std::size_t pruner, int day) {
  Hand& hand = hands_[pruner];
  const PrunerPlan& plan = farm_.pruners[pruner];
  const BlockPlan& block = farm_.blocks[hand.block];
  const Grown grown = grow(pruner, day);
  const double truth = grown.spurs;
  ledger::TagCount tag;
  tag.block = block.block.id;
  tag.tree = {hand.row, hand.tree};
  tag.spurs = as_written(plan, truth);
  tag.seconds = static_cast<int>(tag.spurs * seconds_per_spur * (0.8 + 0.4 * random_.uniform()));
  if (plan.by_limbs) {
    int left = tag.spurs;
    for (int limb = block.block.limbs_per_tree; limb > 1; --limb) {
      const int here = std::min(left, static_cast<int>(random_.poisson(double(left) / limb)));
      tag.limbs.push_back(here);
      left -= here;
    }
    tag.limbs.push_back(left);
  }
  maybe_mend(tag, block.told_target);
  hand.hour += (tag.seconds + (tag.spurs_after_mend ? 240 : 15)) / 3600.0;
  const std::int64_t at_ms = moment(options_, farm_, day, hand.hour);
  ++counts_;
  say_size(pruner, at_ms, grown);
  write_tag(plan, at_ms, tag);
  const double share_left =
      tag.spurs_after_mend ? double(*tag.spurs_after_mend) / std::max(1, tag.spurs) : 1;
  tagged_.push_back({pruner, hand.block, tag.tree, at_ms, truth, share_left,
                     counts_ == withdrawn_count});
}

// As people do: now and then a digit too many, mended within the minute; once the wrong tree.
void WorkWeek::write_tag(const PrunerPlan& plan, std::int64_t at_ms, const ledger::TagCount& tag) {
  const std::string& author = plan.person.id;
  if (counts_ % every_slip == 0) {
    ledger::TagCount slip = tag;
    slip.spurs = std::min(4900, tag.spurs * 10 + 2);
    slip.limbs.clear();
    slip.spurs_after_mend.reset();
    const std::size_t wrong = diary_.note(at_ms, plan.device, author, slip);
    diary_.note(at_ms + 41000, plan.device, author, tag, wrong);
    return;
  }
  const std::size_t event = diary_.note(at_ms, plan.device, author, tag);
  if (counts_ == withdrawn_count) {
    diary_.note(at_ms + 95000, plan.device, author, ledger::Withdrawal{"counted the tree beside"},
                event);
  }
}

bool WorkWeek::is_finished(std::size_t block) const {
  if (next_row_[block] <= farm_.blocks[block].block.rows) return false;
  return std::none_of(hands_.begin(), hands_.end(),
                      [&](const Hand& hand) { return hand.block == block && hand.row > 0; });
}

void WorkWeek::end_spell(std::size_t pruner, int day) {
  Hand& hand = hands_[pruner];
  if (hand.spell_trees == 0) return;
  const PrunerPlan& plan = farm_.pruners[pruner];
  const auto minutes = static_cast<int>(std::lround((hand.hour - hand.spell_start) * 60));
  const std::int64_t at_ms = moment(options_, farm_, day, hand.hour + 0.02);
  diary_.note(at_ms, plan.device, plan.person.id,
              ledger::WorkSpell{farm_.blocks[hand.block].block.id, hand.spell_trees, minutes});
  hand.spell_start = hand.hour;
  hand.spell_trees = 0;
  if (!finished_[hand.block] && is_finished(hand.block)) {
    finished_[hand.block] = true;
    progress(hand.block, ledger::BlockStep::finished, at_ms + 600000);
  }
}

void WorkWeek::leads_check(int day, double from_hour, double to_hour) {
  const std::int64_t from_ms = moment(options_, farm_, day, from_hour);
  const std::int64_t to_ms = moment(options_, farm_, day, to_hour) + 900000;
  for (TaggedTree& tagged : tagged_) {
    if (tagged.checked || tagged.at_ms < from_ms || tagged.at_ms > to_ms) continue;
    if (!random_.chance(share_checked)) continue;
    tagged.checked = true;
    const auto lead =
        static_cast<std::size_t>(farm_.pruners[tagged.pruner].gang) % farm_.leads.size();
    ledger::CheckCount check;
    check.block = farm_.blocks[tagged.block].block.id;
    check.tree = tagged.tree;
    // The lead finds the tree as the mend left it.
    const double found = std::max(0.0, tagged.truth - static_cast<double>(random_.poisson(
                                           tagged.truth * farm_.lead_miss_share)));
    check.spurs = static_cast<int>(found * tagged.share_left);
    check.seconds = static_cast<int>(check.spurs * seconds_per_spur * 1.3);
    const auto later_ms = static_cast<std::int64_t>((5 + 50 * random_.uniform()) * 60000);
    diary_.note(tagged.at_ms + later_ms, farm_.lead_devices[lead], farm_.leads[lead].id, check);
  }
}

// At midday: the lead has seen the morning and says so.
void WorkWeek::advise(int day) {
  for (std::size_t p = 0; p < farm_.pruners.size(); ++p) {
    const PrunerPlan& plan = farm_.pruners[p];
    if (plan.advised_on_day != day) continue;
    const auto lead = static_cast<std::size_t>(plan.gang) % farm_.leads.size();
    const BlockPlan& block = farm_.blocks[hands_[p].block];
    const double off = block.told_target * (std::exp(plan.level) - 1);
    ledger::Advice advice;
    advice.block = block.block.id;
    advice.person = plan.person.id;
    advice.direction = off > 0 ? ledger::Direction::harder : ledger::Direction::lighter;
    advice.spurs_per_tree_to_change = 5 * static_cast<int>(std::lround(std::fabs(off) / 5));
    diary_.note(moment(options_, farm_, day, 12.2), farm_.lead_devices[lead],
                farm_.leads[lead].id, advice);
  }
}

void WorkWeek::progress(std::size_t block, ledger::BlockStep step, std::int64_t at_ms) {
  const std::size_t lead = block % farm_.leads.size();
  diary_.note(at_ms, farm_.lead_devices[lead], farm_.leads[lead].id,
              ledger::BlockProgress{farm_.blocks[block].block.id, step});
}

}  // namespace nthtree::scenario
