// SPDX-License-Identifier: Apache-2.0
// Printed examples of extension services and trade tables.
#include <cstdio>

#include "orchard/fruit_size.h"
#include "orchard/target.h"
#include "orchard/units.h"
#include "reference/published_values.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::orchard;

Target target_of(double fruits, double insurance, double floral) {
  TargetInput input;
  input.fruits_per_tree = fruits;
  input.insurance_factor = insurance;
  input.floral_fraction = floral;
  const auto target = work_out_target(input, std::nullopt);
  return target ? *target : Target{};
}

void cornell(PublishedValues& published) {
  const Target target = target_of(100, 1.8, 0.68);
  published.compare("flowering", target.flowering_spurs_exact);
  published.compare("buds", target.spurs_to_leave_per_tree.value);
  published.compare("buds_exact", target.spurs_to_leave_exact.value);
  const auto weak = published.sample("weak"), strong = published.sample("strong");
  const auto vegetative = published.sample("vegetative");
  double mean = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    const double floral = weak[i] + strong[i];
    published.compare(std::string("block ") + "abcd"[i], 100 * floral / (floral + vegetative[i]));
    mean += floral / 4;
  }
  published.compare("mean", mean);
}

void extension(PublishedValues& published) {
  published.compare("msu", target_of(100, 1.5, 1).flowering_spurs_exact);
  published.compare("niab", target_of(100, 1.2, 1).flowering_spurs_exact);
  TargetInput input;
  input.yield = YieldGoal{.amount = 1500, .unit = YieldUnit::boxes_per_acre,
                          .fruit_size = {.count_per_box = 100}};
  // The printed table takes 1,000 trees an acre for 11 by 4 ft, which is 990: spacing to fit.
  const Spacing thousand{metres_from_feet(11), metres_from_feet(43.56 / 11)};
  const auto fruit = fruits_per_tree(input, thousand);
  if (!fruit) return published.problem(fruit.error().text());
  published.compare("omafra_fruit", *fruit);
  published.compare("omafra_branch", target_of(*fruit, 2, 1).flowering_spurs_exact / 24);
  input.yield->fruit_size.count_per_box = 80;
  input.insurance_factor = 1.8;
  input.floral_fraction = 1;
  const auto target =
      work_out_target(input, Spacing{metres_from_feet(12), metres_from_feet(3)});
  if (!target) return published.problem(target.error().text());
  published.compare("gfg", target->flowering_spurs_exact);
}

void density(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double row = 0, tree = 0;
    if (std::sscanf(id.c_str(), "acre %lf %lf", &row, &tree) == 2) {
      published.compare(id, trees_per_acre({metres_from_feet(row), metres_from_feet(tree)}));
    }
  }
  published.compare("ha", trees_per_ha({3.5, 1}));
}

void trunk(PublishedValues& published) {
  for (const auto& id : published.ids()) {
    double inches = 0;
    const auto area = [&] { return trunk_cm2_from_diameter(mm_from_inches(inches)); };
    if (std::sscanf(id.c_str(), "area %lf", &inches) == 1) published.compare(id, area());
    if (std::sscanf(id.c_str(), "four %lf", &inches) == 1) published.compare(id, 4 * area());
    if (std::sscanf(id.c_str(), "six %lf", &inches) == 1) published.compare(id, 6 * area());
  }
}

void boxes(PublishedValues& published) {
  published.compare("box", YieldGoal{}.box_kg);
  for (const auto& id : published.ids()) {
    double pounds = 0, count = 0;
    if (std::sscanf(id.c_str(), "%lf %lf", &pounds, &count) == 2) {
      published.compare(id, grams_from_count(count, kg_from_lb(pounds)));
    }
  }
}

void wa38(PublishedValues& published) {
  const auto boxes_per_acre = [](double t_per_ha) {
    const YieldGoal goal{.amount = t_per_ha, .unit = YieldUnit::t_per_ha};
    return per_acre_from_per_ha(harvest_kg_per_ha(goal)) / goal.box_kg;
  };
  published.compare("low", boxes_per_acre(28));
  published.compare("high", boxes_per_acre(83));
}

}  // namespace

std::vector<NamedTopic> orchard_topics() {
  return {{"cornell_bud_counts.json", cornell}, {"extension_targets.json", extension},
          {"planting_density.json", density},   {"umass_trunk.json", trunk},
          {"box_counts.json", boxes},           {"wa38_yields.json", wa38}};
}

}  // namespace nthtree::reference
