// SPDX-License-Identifier: Apache-2.0
#include "preparations.h"

#include <algorithm>
#include <cmath>

#include "orchard/target.h"

namespace nthtree::scenario {
namespace {

constexpr int trees_before_count = 5;
constexpr int first_block_minute = 4;
constexpr double most_left = 0.93;  // of an unpruned tree: dead and crossing wood goes in any year

std::int64_t setting_up(const Options& options, const FarmPlan& farm, int minute) {
  return moment(options, farm, -12, 9 + minute / 60.0);
}

double logistic(double x) { return 1 / (1 + std::exp(-x)); }

// Five trees spread over the block, away from its edges.
std::vector<orchard::TreeAddress> representative_trees(const orchard::Block& block,
                                                       int wanted, base::Random& random) {
  std::vector<orchard::TreeAddress> trees;
  for (int i = 0; i < wanted; ++i) {
    const double share = (i + 0.2 + 0.6 * random.uniform()) / wanted;
    const int row = 1 + std::min(block.rows - 1, static_cast<int>(share * block.rows));
    const int length = block.trees_in_row(row);
    trees.push_back({row, 1 + static_cast<int>(random.below(static_cast<std::uint64_t>(length)))});
  }
  return trees;
}

int floral_of(int buds, double share, base::Random& random) {
  int floral = 0;
  for (int i = 0; i < buds; ++i) floral += random.chance(share);
  return floral;
}

ledger::BudSample branch(const BlockPlan& plan, orchard::TreeAddress tree,
                         ledger::BranchPosition position, double tree_logit,
                         base::Random& random) {
  const double side = position == ledger::BranchPosition::upper ? 0.15 : -0.15;
  const double share = logistic(tree_logit + side + plan.floral_sd_branch * random.normal());
  const int spurs = 8 + static_cast<int>(random.below(6));
  const int terminals = 1 + static_cast<int>(random.below(4));
  ledger::BudSample sample;
  sample.block = plan.block.id;
  sample.tree = tree;
  sample.position = position;
  sample.spur_floral = floral_of(spurs, share, random);
  sample.spur_vegetative = spurs - sample.spur_floral;
  sample.terminal_floral = floral_of(terminals, share, random);
  sample.terminal_vegetative = terminals - sample.terminal_floral;
  sample.lateral_left_out = static_cast<int>(random.below(6));
  return sample;
}

}  // namespace

std::int64_t moment(const Options& options, const FarmPlan& farm, int day, double hour) {
  const auto local_ms = static_cast<std::int64_t>(std::llround((day * 24 + hour) * 3600000));
  return options.monday_ms + local_ms - farm.utc_offset_minutes * std::int64_t{60000};
}

void set_up_blocks(const Options& options, const FarmPlan& farm, Diary& diary) {
  int minute = first_block_minute;
  for (const BlockPlan& plan : farm.blocks) {
    diary.note(setting_up(options, farm, minute++), manager_device, farm.manager.id,
               ledger::BlockSettings{plan.block});
  }
}

void set_up_farm(const Options& options, const FarmPlan& farm, Diary& diary) {
  ledger::FarmSettings rates;
  rates.name = farm.name;
  rates.us_units = true;
  rates.utc_offset_minutes = farm.utc_offset_minutes;
  rates.hours_per_day = 8;
  rates.currency = "$";
  rates.wage_per_hour = 21;
  rates.fruit_price_per_kg = 0.9;
  rates.hand_thinning_fruitlets_per_hour = 1200;
  if (options.drawn) {
    rates.pruner_minutes_per_day = 10;
    rates.lead_minutes_per_day = 30;
  }
  const auto note = [&](int minute, ledger::Body body) {
    diary.note(setting_up(options, farm, minute), manager_device, farm.manager.id,
               std::move(body));
  };
  note(0, rates);
  set_up_blocks(options, farm, diary);
  int minute = first_block_minute + static_cast<int>(farm.blocks.size());
  note(minute++, ledger::PersonSettings{farm.manager});
  for (const auto& lead : farm.leads) note(minute++, ledger::PersonSettings{lead});
  for (const auto& pruner : farm.pruners) note(minute++, ledger::PersonSettings{pruner.person});
}

base::Status prepare_blocks(const Options& options, FarmPlan& farm, base::Random& random,
                            Diary& diary) {
  for (std::size_t b = 0; b < farm.blocks.size(); ++b) {
    BlockPlan& plan = farm.blocks[b];
    const std::size_t lead = b % farm.leads.size();
    const std::string& author = farm.leads[lead].id;
    const int device = farm.lead_devices[lead];
    // Two blocks a day, buds on the 5th to 3rd day before the first cut, trees on the day after.
    const int day = -5 + static_cast<int>(b / 2);
    double hour = 9.5 + 0.1 * random.uniform();
    double floral = 0, buds = 0;
    const double logit = std::log(plan.floral_fraction / (1 - plan.floral_fraction));
    for (const auto& tree : representative_trees(plan.block, plan.trees_cut, random)) {
      const double tree_logit = logit + plan.floral_sd_tree * random.normal();
      for (const auto position : {ledger::BranchPosition::upper, ledger::BranchPosition::lower}) {
        const auto sample = branch(plan, tree, position, tree_logit, random);
        floral += sample.floral();
        buds += sample.floral() + sample.vegetative();
        diary.note(moment(options, farm, day, hour), device, author, sample);
        hour += 0.1 + 0.05 * random.uniform();
      }
    }
    const auto target = orchard::work_out_target(plan.block.target, plan.block.spacing,
                                                 orchard::Estimate::exactly(floral / buds));
    if (!target) return target.error();
    plan.told_target = target->spurs_to_leave_per_tree.value;
    double unpruned = plan.told_target * plan.before_over_target;
    if (plan.unpruned_spurs > 0) {
      unpruned = plan.unpruned_spurs;
      plan.told_target = std::min(plan.told_target, most_left * unpruned);
    }

    hour = 13 + 0.2 * random.uniform();
    for (const auto& tree : representative_trees(plan.block, trees_before_count, random)) {
      ledger::BeforeCount before;
      before.block = plan.block.id;
      before.tree = tree;
      before.spurs = static_cast<int>(std::min<std::int64_t>(4900, random.negative_binomial(
          unpruned, plan.tree_k)));
      diary.note(moment(options, farm, day + 1, hour), device, author, before);
      hour += 0.12 + 0.06 * random.uniform();
    }
    if (b < 4) {
      diary.note(moment(options, farm, day + 1, 15.5), device, author,
                 ledger::GrowthStage{plan.block.id, 0});
    }
  }
  return base::Ok{};
}

}  // namespace nthtree::scenario
