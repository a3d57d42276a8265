// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "against.h"
#include "pages.h"
#include "report.h"

namespace nthtree::oc {

std::vector<Page> against_pages(const Effort& effort) {
  const double t = 0.15;
  Table table{{"the first against the others", "target known to", "counting", "said so", "the wrong "
               "way", "own counts until then", "verdict against the target said so", "interval "
               "holds the truth"}, {}};
  Table alike{{"crew", "counting", "told though alike, a pruner a day"}, {}};
  for (const bool unchecked : {false, true}) {
    const std::string counting = unchecked ? "never re-counted" : "known";
    for (const double apart : {1.0, 1 - t / 2, 1 + t / 2, 0.75, 1 - 1.5 * t, 1 + 1.5 * t}) {
      for (const double target : {0.0, 0.15}) {
        AgainstPlan plan{.days = std::max(20, effort.days / 4), .apart = apart,
                         .target_half_width = target, .unchecked = unchecked};
        const AgainstRates rates = simulate_against_crew(plan, effort.seed + 71);
        table.add({signed_percent(apart), "±" + percent(target, 0), counting,
                   percent(rates.told_right), percent(rates.told_wrong),
                   number(rates.counts, 1), percent(rates.verdict_right),
                   percent(rates.covered)});
      }
    }
    for (const int pruners : {3, 8, 20}) {
      AgainstPlan plan{.pruners = pruners, .days = std::max(20, effort.days / (2 * pruners)),
                       .target_half_width = 0.15, .unchecked = unchecked};
      const AgainstRates rates = simulate_against_crew(plan, effort.seed + 72);
      alike.add({number(pruners, 0), counting, percent(rates.mates_told)});
    }
  }
  return {{"against_crew.md",
           "# One pruner against the others of the block\n\nEight pruners, forty counts each, looked "
           "at after every one; spread 25 %. Each day the true target is drawn anew from what is "
           "believed of it, and where nobody was re-counted so is what each misses (8 % ± 8 % for "
           "all, 6 % between people). The others leave the same. Within half a tolerance (7.5 %) "
           "any word is a false one; the target cancels, so it hardly matters how well it is "
           "known.\n\n" + table.markdown() +
               "\n## All alike: how often somebody is told\n\n" + alike.markdown()}};
}

}  // namespace nthtree::oc
