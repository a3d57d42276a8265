// SPDX-License-Identifier: Apache-2.0
// Trees counted in part, and minutes shared out between trees, limbs and looks.
#include <cmath>
#include <cstdio>

#include "reference/published_values.h"
#include "stats/allocation.h"
#include "stats/double_sampling.h"
#include "stats/part_total.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::stats;

std::vector<double> every(const std::vector<double>& limbs, std::size_t start, std::size_t step) {
  std::vector<double> drawn;
  for (std::size_t i = start - 1; i < limbs.size(); i += step) drawn.push_back(limbs[i]);
  return drawn;
}

// Two limbs drawn at random have, over all pairs, the mean of the form that a single pair gives.
double variance_of_two(const std::vector<double>& limbs) {
  double sum = 0, pairs = 0;
  for (std::size_t i = 0; i < limbs.size(); ++i) {
    for (std::size_t j = i + 1; j < limbs.size(); ++j) {
      sum += part_total(std::vector<double>{limbs[i], limbs[j]}, limbs.size())->variance_random;
      pairs += 1;
    }
  }
  return sum / pairs;
}

void limbs(PublishedValues& published) {
  published.compare("tree 2 two random", variance_of_two(published.sample("tree_2")));
  published.compare("tree 11 two random", variance_of_two(published.sample("tree_11")));
  const auto& tree = published.sample("tree_20");
  const auto third = part_total_over_starts(tree, 3);
  if (!third) return published.problem(third.error().text());
  published.compare("tree 20 total", third->total);
  published.compare("tree 20 every 3rd, mean", third->mean_expanded);
  published.compare("tree 20 L ȳ, bias", 100 * (third->mean / third->total - 1));
  for (std::size_t step = 2; step <= 3; ++step) {
    for (std::size_t start = 1; start <= step; ++start) {
      double sum = 0;
      for (const double limb : every(tree, start, step)) sum += limb;
      const double periods[] = {static_cast<double>(step)};
      published.compare("tree 20 every " + std::string(step == 2 ? "2nd, " : "3rd, ") +
                       std::to_string(start),
                        *multilevel_total(periods, sum));
      if (step == 2) continue;
      published.compare("tree 20 L ȳ, " + std::to_string(start),
                        part_total(every(tree, start, step), tree.size())->total);
    }
  }
}

// PracTools states spread as a likeness delta of the parts of a unit, of a unit variance of 1.
void shared_cost(PublishedValues& published, double delta, const std::string& name) {
  const double between = delta, within = 1 - delta;
  const double parts = *parts_at_optimum(between, within, 750, 100);
  published.compare("parts " + name, parts);
  if (delta < 0.05) return;
  const double units = *units_of_budget(100000, parts, 750, 100);
  published.compare("units " + name, units);
  published.compare("cv " + name, std::sqrt((between + within / parts) / units));
}

void minutes(PublishedValues& published) {
  for (const char* name : {"0.05", "0.1", "0.15", "0.2", "0.25", "0.01"}) {
    double delta = 0;
    std::sscanf(name, "%lf", &delta);
    shared_cost(published, delta, name);
  }
  for (const auto& id : published.ids()) {
    double rho = 0;
    if (std::sscanf(id.c_str(), "pays %lf", &rho) == 1) {
      published.compare(id, *two_phase_cost_threshold(rho));
    }
  }
  const ShareSpread trees{.between = 0.0625, .parts = 0.2025, .parts_in_unit = 20,
                          .correlation = 0.75};
  published.compare("two whole trees", variance_of({.units = 2, .parts = 20}, trees));
  published.compare("six by three", variance_of({.units = 6, .parts = 3}, trees));
  published.compare("four by five and looks",
                    variance_of({.units = 4, .parts = 5, .looks = 20}, trees));
}

}  // namespace

std::vector<NamedTopic> part_topics() {
  return {{"apple_limbs.json", limbs}, {"sharing_minutes.json", minutes}};
}

}  // namespace nthtree::reference
