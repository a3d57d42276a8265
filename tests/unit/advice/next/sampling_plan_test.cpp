// SPDX-License-Identifier: Apache-2.0
#include "advice/next/sampling_plan.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>
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
    for (const PlanWarning& warning : check_stride(block, 45)) CHECK(warning.places_met == 2);
    // 50 shares 10 with the row: 9 places for 72 trees; 21 shares 3: 30 places for 171.
    for (const auto& [stride, places] : {std::pair{50, 9}, {21, 30}, {4, 45}}) {
      const auto warnings = check_stride(block, stride);
      REQUIRE(warnings.size() == 1);
      CHECK(warnings[0].problem == PlanProblem::stride_shares_factor);
      CHECK(warnings[0].places_met == places);
      CHECK(warnings[0].trees == 3600 / stride);
    }
  }

  TEST_CASE("places are few for the trees that are counted, not for the row alone") {
    // Every 50th of 4 rows of 90 counts 7 trees at 7 of its 9 places: none comes back.
    CHECK(check_stride(block_of(4, 90), 50).empty());
    CHECK(warns(check_stride(block_of(40, 90), 50), PlanProblem::stride_shares_factor));
    CHECK(check_stride(block_of(1, 90), 10).empty());  // a single row has none to be in step with
  }

  TEST_CASE("a stride near a multiple of the row is told, however many rows it skips") {
    const auto block = block_of(36, 101);
    for (int stride : {100, 102, 201, 203, 302, 304, 605}) {  // k × 101 ± 1
      const auto warnings = check_stride(block, stride);
      REQUIRE(warnings.size() == 1);
      CHECK(warnings[0].problem == PlanProblem::stride_near_row);
      int widest = 0;  // as walking the tagged trees of every start finds it
      for (int start = 1; start <= stride; ++start) {
        std::set<int> places = {0, 102};
        for (const auto& tree : tagged_trees(block, stride, start)) places.insert(tree.tree);
        for (auto it = std::next(places.begin()); it != places.end(); ++it) {
          widest = std::max(widest, *it - *std::prev(it) - 1);
        }
      }
      // Some starts have a tree more than the fewest, on which the warning goes.
      CHECK(widest <= warnings[0].unseen);
      CHECK(widest >= warnings[0].unseen - 1);
    }
    CHECK(check_stride(block_of(200, 101), 102).empty());  // over 200 rows it meets them all
    CHECK(check_stride(block, 50).empty());
  }

  TEST_CASE("the places told are those that the tagged trees stand at, from any start") {
    for (const auto& [rows, row, stride] :
         {std::tuple{8, 28, 6}, {8, 28, 21}, {40, 90, 50}, {40, 90, 60}, {12, 50, 20}}) {
      const auto block = block_of(rows, row);
      const auto warnings = check_stride(block, stride);
      REQUIRE(warnings.size() == 1);
      for (int start = 1; start <= stride; ++start) {
        std::set<int> places;
        for (const auto& tree : tagged_trees(block, stride, start)) places.insert(tree.tree);
        CHECK(static_cast<int>(places.size()) == warnings[0].places_met);
      }
    }
  }

  TEST_CASE("nothing is said against the better stride, and it is near") {
    for (const auto& [rows, row] : {std::pair{40, 90}, {8, 28}, {43, 94}, {3, 60}, {1, 5}}) {
      const auto block = block_of(rows, row);
      for (int stride = 1; stride <= 200; ++stride) {
        for (const PlanWarning& warning : check_stride(block, stride)) {
          CAPTURE(stride);
          CHECK(check_stride(block, warning.better_stride).empty());
          if (rows > 1) CHECK(std::gcd(warning.better_stride, row) == 1);
          if (warning.problem == PlanProblem::too_few_trees) continue;
          if (!warns(check_stride(block, stride), PlanProblem::too_few_trees)) {
            CHECK(std::abs(warning.better_stride - stride) <= 8);
          }
        }
      }
    }
  }

  TEST_CASE("rows of all lengths are in step with nothing; lengths that many rows have count") {
    auto block = block_of(12, 60);
    for (int row = 0; row < 12; ++row) block.row_lengths.push_back(49 + row);
    for (int stride : {7, 10, 25}) CHECK(check_stride(block, stride).empty());
    for (int row = 0; row < 6; ++row) block.row_lengths[static_cast<std::size_t>(row)] = 50;
    CHECK(warns(check_stride(block, 10), PlanProblem::stride_divides_row));
    for (const PlanWarning& warning : check_stride(block, 10)) CHECK(warning.row_length == 50);
  }

  TEST_CASE("every plan's stride is one that nothing is said against") {
    for (const auto& [rows, row] : {std::pair{40, 90}, {8, 28}, {43, 94}, {30, 60}, {36, 101}}) {
      for (double width : {0.25, 0.15, 0.1, 0.07, 0.05}) {
        const auto plan =
            plan_sampling(block_of(rows, row), {.relative_half_width = width}, 1);
        CHECK(plan.warnings.empty());
        CHECK(plan.relative_half_width <= width * 1.05);
      }
    }
  }

  TEST_CASE("strides of the published apple trial that meet few places of its rows are warned of") {
    // Batchelor and Reed 1918, Jonathan apples, 8 rows of 28 trees: all of these give a systematic
    // mean more variable than a random one (tests/reference/traps_test.cpp has the ratios).
    const auto block = block_of(8, 28);
    for (int stride : {2, 4, 6, 7, 8, 10, 14, 16, 21, 28}) {
      CHECK_FALSE(check_stride(block, stride).empty());
    }
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

  TEST_CASE("a plan was made of gaps too: the tree beside one is counted, and how many are is told") {
    const auto block = block_of(40, 90);
    const auto whole = plan_sampling(block, {}, 7);
    CHECK(whole.instead == 0);
    Planting planting(block);
    for (std::size_t i = 0; i < 3; ++i) {
      planting.set(whole.tagged[i], nthtree::ledger::TreeKind::missing);
    }
    const auto plan = plan_sampling(planting, {}, 7);
    CHECK(plan.instead == 3);
    REQUIRE(plan.tagged.size() == whole.tagged.size());
    CHECK(plan.tagged[0] == planting.count_instead(whole.tagged[0]));
    CHECK(plan.tagged[5] == whole.tagged[5]);
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
}
