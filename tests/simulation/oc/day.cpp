// SPDX-License-Identifier: Apache-2.0
#include "day.h"

#include <algorithm>

namespace nthtree::oc {

Rates simulate_days(Method& method, const Truth& truth, const DayPlan& plan, std::uint64_t seed) {
  Rates rates;
  rates.days = plan.days;
  std::vector<int> trees;
  base::Random seeds(seed);
  for (int day = 0; day < plan.days; ++day) {
    TreeLine line(truth, seeds.next());
    method.restart();
    VerdictKind first = VerdictKind::count_more;
    int at = plan.counts_a_day;
    bool harder = false, lighter = false;
    for (int n = 1; n <= plan.counts_a_day; ++n) {
      const VerdictKind now = method.add(line.next());
      harder = harder || now == VerdictKind::harder;
      lighter = lighter || now == VerdictKind::lighter;
      if (first == VerdictKind::count_more && now != VerdictKind::count_more) {
        first = now;
        at = n;
      }
      if (first != VerdictKind::count_more && (plan.stop_at_verdict || (harder && lighter))) break;
    }
    trees.push_back(at);
    rates.told_harder += harder;
    rates.told_lighter += lighter;
    rates.told_both += harder && lighter;
    rates.first_harder += first == VerdictKind::harder;
    rates.first_lighter += first == VerdictKind::lighter;
    rates.first_on_target += first == VerdictKind::on_target;
    rates.first_none += first == VerdictKind::count_more;
    rates.trees_mean += at;
  }
  const double days = std::max(1, plan.days);
  for (double* sum : {&rates.told_harder, &rates.told_lighter, &rates.told_both,
                      &rates.first_harder, &rates.first_lighter, &rates.first_on_target,
                      &rates.first_none, &rates.trees_mean}) {
    *sum /= days;
  }
  std::sort(trees.begin(), trees.end());
  if (!trees.empty()) rates.trees_p95 = trees[trees.size() * 95 / 100];
  return rates;
}

}  // namespace nthtree::oc
