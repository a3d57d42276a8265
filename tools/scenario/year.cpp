// SPDX-License-Identifier: Apache-2.0
#include "year.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "preparations.h"

namespace nthtree::scenario {
namespace {

constexpr std::size_t trees_followed = 10;    // of a block
constexpr std::size_t trees_cut_after_frost = 8;
constexpr int floral_buds_cut = 12;           // of each
constexpr int first_day_measured = -33;       // 1 January, where pruning begins on 3 February
constexpr int last_day_measured = 104;
constexpr int days_in_a_reading = 23;         // the manager reads the station's file so often
constexpr int second_pass_day = 68;
constexpr int harvest_day = 225;
constexpr int close_day = 285;

// BBCH of pome fruit, days after green tip (about as they follow each other; no source).
struct StageDay {
  int bbch, after_days;
};
constexpr StageDay stage_days[] = {{53, 0}, {54, 6}, {56, 11}, {57, 18}, {65, 28}};

int binomial(double trials, double share, base::Random& random) {
  int hits = 0;
  for (int i = 0; i < static_cast<int>(trials); ++i) hits += random.chance(share);
  return hits;
}

int tenths_c(double f) { return static_cast<int>(std::lround((f - 32) / 1.8 * 10)); }

// A valley's winter and spring in °F, such that some 110 degree-days above 43 °F are reached about
// eight weeks after the first day of pruning.
double usual_mean_f(int day) {
  const int since = std::max(0, day - first_day_measured);
  return std::min(68.0, 33 + 0.0018 * since * since);
}

}  // namespace

void Year::note_by_lead(std::size_t block, int day, double hour, ledger::Body body) {
  const std::size_t lead = block % farm_.leads.size();
  diary_.note(moment(options_, farm_, day, hour), farm_.lead_devices[lead], farm_.leads[lead].id,
              std::move(body));
}

int Year::green_tip_day(std::size_t block) const {
  return farm_.blocks[block].green_tip_after_days + plan_.later_days;
}

// The first two blocks lie low, where cold air gathers.
double Year::alive(std::size_t block) const {
  return block < 2 ? plan_.alive_low_ground : plan_.alive_high_ground;
}

void Year::temperatures() {
  double weather = 0;  // one warm day follows another
  ledger::Temperatures reading;
  for (int day = first_day_measured; day <= last_day_measured; ++day) {
    weather = 0.7 * weather + 2.5 * random_.normal();
    const double mean = usual_mean_f(day - plan_.later_days) + weather;
    const double half_range = 9 + 2 * random_.uniform();
    if (reading.low_tenths_c.empty()) {
      reading.station = "Mill Road";
      reading.first_day =
          base::iso_minute(options_.monday_ms + day * std::int64_t{86400000}).substr(0, 10);
    }
    const bool is_frost = day == plan_.frost_on_day;
    reading.low_tenths_c.push_back(is_frost ? static_cast<int>(std::lround(10 * plan_.frost_low_c))
                                            : tenths_c(mean - half_range));
    reading.high_tenths_c.push_back(
        std::max(reading.low_tenths_c.back(), tenths_c(mean + half_range)));
    if ((day - first_day_measured) % days_in_a_reading != days_in_a_reading - 1) continue;
    diary_.note(moment(options_, farm_, day, 18), manager_device, farm_.manager.id, reading);
    reading = {};
  }
}

void Year::stages(std::size_t block) {
  for (const StageDay& stage : stage_days) {
    note_by_lead(block, green_tip_day(block) + stage.after_days, 10 + 0.1 * double(block),
                 ledger::GrowthStage{farm_.blocks[block].block.id, stage.bbch});
  }
}

// Evenly over the block's tags, as the lead walks it.
std::vector<FollowedTree> Year::follow(const std::vector<TaggedTree>& tagged) {
  std::vector<FollowedTree> followed;
  for (std::size_t b = 0; b < farm_.blocks.size(); ++b) {
    std::vector<const TaggedTree*> here;
    for (const TaggedTree& tag : tagged) {
      if (tag.block == b) here.push_back(&tag);
    }
    const std::size_t wanted = std::min(trees_followed, here.size());
    for (std::size_t i = 0; i < wanted; ++i) {
      const TaggedTree& tag = *here[i * here.size() / wanted];
      const double spurs = std::floor(tag.truth * tag.share_left);
      const double floral = farm_.blocks[b].floral_fraction;
      followed.push_back({b, tag.tree, spurs, double(binomial(spurs, floral, random_)), 0});
    }
  }
  return followed;
}

void Year::second_pass(const std::vector<FollowedTree>& trees) {
  double hour = 9;
  for (const FollowedTree& tree : trees) {
    ledger::ClusterCount count;
    count.block = farm_.blocks[tree.block].block.id;
    count.tree = tree.tree;
    count.floral_clusters = static_cast<int>(tree.flowering);
    count.vegetative_spurs = static_cast<int>(tree.spurs - tree.flowering);
    note_by_lead(tree.block, second_pass_day + static_cast<int>(tree.block / 2), hour, count);
    hour = hour > 16 ? 9 : hour + 0.15;
  }
}

void Year::return_bloom(const std::vector<FollowedTree>& last) {
  double hour = 8;
  for (const FollowedTree& tree : last) {
    ledger::ReturnBloom bloom;
    bloom.block = farm_.blocks[tree.block].block.id;
    bloom.tree = tree.tree;
    bloom.spurs = 60;  // of some limbs
    bloom.floral_spurs =
        binomial(bloom.spurs, farm_.blocks[tree.block].floral_fraction, random_);
    note_by_lead(tree.block, second_pass_day + 3, hour, bloom);
    hour += 0.1;
  }
}

// The morning after: buds of some trees of every block are cut open.
void Year::frost() {
  for (std::size_t b = 0; b < farm_.blocks.size(); ++b) {
    const orchard::Block& block = farm_.blocks[b].block;
    for (std::size_t i = 0; i < trees_cut_after_frost; ++i) {
      ledger::FrostSample sample;
      sample.block = block.id;
      sample.tree.row = 1 + static_cast<int>(i) * (block.rows - 1) / int(trees_cut_after_frost);
      sample.tree.tree = 1 + static_cast<int>(random_.below(
          static_cast<std::uint64_t>(block.trees_in_row(sample.tree.row))));
      sample.bbch = 57;
      sample.alive = binomial(floral_buds_cut, alive(b), random_);
      sample.killed = floral_buds_cut - sample.alive;
      note_by_lead(b, plan_.frost_on_day, 9 + double(b / 2) + 0.1 * double(i), sample);
    }
  }
}

void Year::harvest(std::vector<FollowedTree>& trees) {
  double hour = 8;
  for (FollowedTree& tree : trees) {
    const BlockPlan& plan = farm_.blocks[tree.block];
    const double alive_flowers = tree.flowering * alive(tree.block);
    const double mean = alive_flowers * plan_.set / plan.true_insurance;
    tree.fruits = static_cast<int>(random_.negative_binomial(std::max(0.1, mean), 25));
    ledger::HarvestCount picked;
    picked.block = plan.block.id;
    picked.tree = tree.tree;
    picked.fruits = tree.fruits;
    // Fewer fruits grow larger (a third of a doubling; no source).
    const double grams = 175 * std::pow(90 / std::max(20.0, mean), 0.3) + 6 * random_.normal();
    if (random_.chance(0.5)) picked.grams_per_fruit = std::round(std::clamp(grams, 90.0, 320.0));
    note_by_lead(tree.block, harvest_day + 5 * static_cast<int>(tree.block), hour, picked);
    hour = hour > 15 ? 8 : hour + 0.25;
  }
}

void Year::close() {
  const std::int64_t at_ms = moment(options_, farm_, close_day, 19);
  const int year = std::atoi(
      base::iso_minute(moment(options_, farm_, harvest_day, 12)).substr(0, 4).c_str());
  diary_.note(at_ms, manager_device, farm_.manager.id, ledger::SeasonClosed{year});
}

std::vector<FollowedTree> Year::rest(const std::vector<TaggedTree>& tagged,
                                     const std::vector<FollowedTree>& last) {
  for (std::size_t b = 0; b < farm_.blocks.size(); ++b) stages(b);
  std::vector<FollowedTree> trees = follow(tagged);
  second_pass(trees);
  return_bloom(last);
  if (plan_.frost_on_day >= 0) frost();
  harvest(trees);
  close();
  return trees;
}

}  // namespace nthtree::scenario
