// SPDX-License-Identifier: Apache-2.0
#include "advice/sampling_plan.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "unit/advice/season_builder.h"

using namespace nthtree::advice;

namespace {

nthtree::orchard::Block block_of(int rows, int trees) {
  auto block = nthtree::test::block_settings().block;
  block.rows = rows;
  block.trees_per_row = trees;
  return block;
}

bool warns(const std::vector<PlanWarning>& warnings, PlanProblem problem) {
  return std::any_of(warnings.begin(), warnings.end(),
                     [&](const PlanWarning& w) { return w.problem == problem; });
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("strides that come back to the same places of a row are told, with a better one") {
    const auto block = block_of(40, 90);
    CHECK(warns(check_stride(block, 45), PlanProblem::stride_divides_row));
    CHECK(warns(check_stride(block, 180), PlanProblem::stride_multiple_of_row));
    CHECK(warns(check_stride(block, 60), PlanProblem::stride_shares_factor));
    CHECK(warns(check_stride(block, 91), PlanProblem::stride_near_row));
    CHECK(warns(check_stride(block, 1000), PlanProblem::too_few_trees));
    CHECK(check_stride(block, 49).empty());
    CHECK(check_stride(block, 1).empty());
    for (const PlanWarning& warning : check_stride(block, 45)) {
      CHECK(warning.places_met == 2);
      CHECK(check_stride(block, warning.better_stride).empty());
    }
  }

  TEST_CASE("every stride of the published apple trial that divides its rows is warned of") {
    // Batchelor and Reed 1918, Jonathan apples, 8 rows of 28 trees: strides 4, 7, 14, 28 all give
    // a systematic mean more variable than a random one.
    const auto block = block_of(8, 28);
    for (int stride : {4, 7, 14, 28}) CHECK_FALSE(check_stride(block, stride).empty());
  }

  TEST_CASE("tagged trees are every stride-th, row after row") {
    const auto tagged = tagged_trees(block_of(3, 10), 7, 3);
    REQUIRE(tagged.size() == 4);
    CHECK(tagged[0] == nthtree::orchard::TreeAddress{1, 3});
    CHECK(tagged[1] == nthtree::orchard::TreeAddress{1, 10});
    CHECK(tagged[2] == nthtree::orchard::TreeAddress{2, 7});
    CHECK(tagged[3] == nthtree::orchard::TreeAddress{3, 4});
    CHECK(tagged_trees(block_of(3, 10), 0, 1).empty());
  }

  TEST_CASE("a plan reaches the wanted precision with a start drawn by chance") {
    std::set<int> starts;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
      const SamplingPlan plan =
          plan_sampling(block_of(40, 90), {.relative_half_width = 0.08}, seed);
      CHECK(plan.relative_half_width <= 0.085);
      CHECK(plan.start >= 1);
      CHECK(plan.start <= plan.stride);
      CHECK(plan.trees == static_cast<int>(plan.tagged.size()));
      starts.insert(plan.start);
    }
    CHECK(starts.size() > 10);
  }

  TEST_CASE("a tighter wish needs more trees, and a small block never more than it has") {
    int last = 0;
    for (double width : {0.3, 0.2, 0.1, 0.05, 0.02}) {
      const SamplingPlan plan =
          plan_sampling(block_of(6, 23), {.relative_half_width = width}, 1);
      CHECK(plan.trees >= last);
      CHECK(plan.trees <= 6 * 23);
      last = plan.trees;
    }
  }

  TEST_CASE("the variance of a real systematic sample, by successive differences and as random") {
    // Batchelor and Reed 1918, every 8th tree from the first, columns one after another.
    const std::vector<double> yields = {162, 187, 125, 125, 150, 150, 400, 350, 187, 50, 250, 350,
                                        200, 350, 37, 575, 50, 325, 187, 337, 75, 425, 337, 325,
                                        100, 350, 375, 475};
    const SystematicMean mean = systematic_mean({162, 187, 125, 125}, 0);
    CHECK(mean.n == 4);
    CHECK(mean.mean == doctest::Approx(149.75));
    // Σ d² = 625 + 3844 + 0; / (2 · 3) / 4
    CHECK(mean.se_successive == doctest::Approx(std::sqrt(4469.0 / 24)));
    CHECK(systematic_mean(yields, 224).se_random > 0);
    CHECK(systematic_mean({}, 224).n == 0);
    CHECK(systematic_mean({5}, 224).mean == 5);
  }
}
