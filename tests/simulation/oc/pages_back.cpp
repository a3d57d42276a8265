// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <vector>

#include "back.h"
#include "base/random.h"
#include "pages.h"
#include "report.h"

namespace nthtree::oc {
namespace {

struct BackArm {
  const char* name;
  BackPlan plan;
};

std::vector<BackArm> back_arms() {
  BackPlan plain, sparse, inferred, steady, alike;
  sparse.rows_a_count = 2;
  inferred = sparse;
  inferred.logged = false;
  steady.drifters = 0;
  alike.drifters = 0;
  alike.between_log_sd = 0;
  return {{"two drift, rows noted", plain},
          {"the same, counts in every other row", sparse},
          {"the same, and no row noted", inferred},
          {"nobody drifts, people differ by 12 %", steady},
          {"nobody drifts, nobody differs", alike}};
}

struct BackSum {
  BackRun sum;
  std::vector<double> money;  // of the list, a farm
  double sent = 0;            // farms in which the list sends anybody
};

BackSum play_backs(const BackPlan& plan, int farms, std::uint64_t seed) {
  BackSum all;
  base::Random seeds(seed);
  for (int farm = 0; farm < farms; ++farm) {
    const BackRun run = play_back(plan, seeds.next());
    all.sum.out_over += run.out_over;
    all.sum.stretches += run.stretches;
    all.sum.false_trips += run.false_trips;
    all.sent += run.stretches > 0;
    all.money.push_back(run.of(Going::by_list).money);
    for (std::size_t g = 0; g < goings; ++g) {
      Trip& trip = all.sum.trips[g];
      trip.hours += run.trips[g].hours;
      trip.visited += run.trips[g].visited;
      trip.mended += run.trips[g].mended;
      trip.money += run.trips[g].money;
    }
  }
  std::sort(all.money.begin(), all.money.end());
  return all;
}

}  // namespace

std::vector<Page> back_pages(const Effort& effort) {
  const int farms = std::max(10, effort.days / 10);
  Table found{{"farm", "going back", "hours a farm", "trees over the band mended an hour",
               "of all trees over the band", "money an hour"}, {}};
  Table list{{"farm", "stretches named a farm", "of them truly inside the band",
              "money saved a farm: mean", "a tenth of farms below", "a tenth above"}, {}};
  const char* const names[goings] = {"by the list", "along random rows", "from row 1 on",
                                     "to counted trees alone"};
  for (const BackArm& arm : back_arms()) {
    const BackSum all = play_backs(arm.plan, farms, effort.seed + 131);
    for (std::size_t g = 0; g < goings; ++g) {
      const Trip& trip = all.sum.trips[g];
      found.add({arm.name, names[g], number(trip.hours / farms, 1),
                 number(trip.mended_per_hour(), 1),
                 percent(trip.mended / std::max(1.0, all.sum.out_over)),
                 number(trip.hours > 0 ? trip.money / trip.hours : 0, 1)});
    }
    const std::size_t tenth = all.money.size() / 10;
    list.add({arm.name, number(all.sum.stretches / farms, 2),
              percent(all.sum.false_trips / std::max(1.0, all.sum.stretches)),
              number(all.sum.of(Going::by_list).money / farms, 0),
              number(all.money[tenth], 0), number(all.money[all.money.size() - 1 - tenth], 0)});
  }
  return {{"back.md",
           "# Going back: by the list, at random, over the whole block, to counted trees\n\n" +
               number(farms, 0) +
               " blocks a farm's row: 48 rows of 60 trees, eight pruners who take the next free "
               "row, three counts a row, five of each person's trees re-counted; people differ by "
               "12 %, two of them leave 42 % more from a third or two thirds of their rows on. "
               "Everybody goes back for the hours that the list takes (to counted trees alone "
               "there is not enough to do), takes off what is over the target, and walks half a "
               "minute a tree (four to a single one). Money: wage 18, a thousand fruitlets thinned "
               "an hour.\n\n" + found.markdown() + "\n## The list\n\n" + list.markdown()}};
}

}  // namespace nthtree::oc
