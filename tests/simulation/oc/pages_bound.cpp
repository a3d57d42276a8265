// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "bound.h"
#include "day.h"
#include "pages.h"
#include "report.h"

namespace nthtree::oc {
namespace {

// Near and far rates of one method at one side.
struct Reached {
  double told_near = 0, right = 0, trees = 0;
};

Reached reach(Method& method, const Known& known, bool up, const Effort& effort,
              std::uint64_t more) {
  const double sign = up ? 1 : -1;
  Truth near{.ratio = 1 + sign * known.tolerance / 2, .cv = known.cv};
  Truth far{.ratio = 1 + sign * 1.5 * known.tolerance, .cv = known.cv};
  const std::uint64_t seed = effort.seed * 100 + more;
  const Rates day = simulate_days(method, near, {effort.days, 100, false}, seed);
  const Rates first = simulate_days(method, far, {effort.days, 300, true}, seed + 1);
  return {day.told_change(), up ? first.first_harder : first.first_lighter, first.trees_mean};
}

}  // namespace

std::vector<Page> bound_pages(const Effort& effort) {
  Table table{{"spread", "side", "known of it", "Wald, log-normal", "Wald, gamma",
               "best test at 5 % and 90 %", "ours: told at ½ t", "right at 1½ t", "trees",
               "× Wald", "× Wald, gamma, at ours' rates", "× best test"}, {}};
  for (double cv : {0.15, 0.25, 0.35, 0.45}) {
    for (bool up : {true, false}) {
      Known known;
      known.cv = cv;
      const double far = up ? 1 + 1.5 * known.tolerance : 1 - 1.5 * known.tolerance;
      const double asked = bound_for_counts(known, up, known.alpha, known.beta);
      const auto row = [&](const char* what, std::optional<double> known_df, Method* ours) {
        const BestTest best = best_test(known, up, known_df, effort.days, effort.seed * 100 + 81);
        std::vector<std::string> cells = {percent(cv, 0), up ? "over" : "under", what,
                                          number(wald_bound(known, far), 1), number(asked, 1),
                                          number(best.trees, 1)};
        if (ours) {
          const Reached r = reach(*ours, known, up, effort, 85);
          const double least = 0.5 / effort.days;  // no rate is known to be zero
          const double same = bound_for_counts(known, up, std::max(least, r.told_near),
                                               std::max(least, 1 - r.right));
          cells.insert(cells.end(), {percent(r.told_near), percent(r.right), number(r.trees, 1),
                                     number(r.trees / wald_bound(known, far), 2),
                                     number(r.trees / same, 2),
                                     number(r.trees / best.trees, 2)});
        }
        cells.resize(table.head.size());
        table.add(cells);
      };
      row("exactly", std::nullopt, nullptr);
      Ours twelve(known, {.spread_df = 12}), nothing(known, {});
      row("from 12 trees", 12.0, &twelve);
      row("nothing", 0.0, &nothing);
    }
  }
  return {{"bounds.md",
           "# What any test could reach\n\n\"Wald\": his bound for half a tolerance against one "
           "and a half at 5 % and 10 %, for log-normal trees, as in the other tables; \"gamma\": "
           "the same for trees of gamma shape, which the simulated ones nearly have: below the "
           "target a count says less than under a log-normal. \"At ours' rates\": for the errors "
           "ours really makes, which are fewer at some spreads, more at others. \"Best test\": the "
           "likelihood ratio with the spread integrated out over what is known of it (the app's "
           "prior and, in the middle rows, twelve trees), both lines set by simulation so that it "
           "tells change at half a tolerance on 5 % of days and is right at one and a half on "
           "90 %. Nothing that starts from the same knowledge can do with clearly fewer trees.\n\n" +
               table.markdown()}};
}

}  // namespace nthtree::oc
