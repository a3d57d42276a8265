// SPDX-License-Identifier: Apache-2.0
#include "broken.h"
#include "day.h"
#include "pages.h"
#include "report.h"

namespace nthtree::oc {

std::vector<Page> broken_pages(const Effort& effort) {
  Table table{{"what fails", "others counted", "wrong at target", "without a word",
               "wrong for the rows counted too", "told to change at +½ t", "without a word",
               "at −½ t", "without a word", "right at +1½ t", "trees there",
               "seen by the day's end"}, {}};
  for (const Broken& broken : broken_worlds()) {
    for (int others : {0, 60}) {
      const auto at = [&](double ratio, std::uint64_t more) {
        Truth truth = broken.truth;
        truth.ratio = ratio;
        return broken_days(truth, others, effort.days / 2, effort.seed * 100 + more);
      };
      const BrokenRates on = at(1, 21), up = at(1.075, 22), down = at(0.925, 23);
      Truth far = broken.truth, elsewhere = broken.truth;
      far.ratio = 1.225;
      Ours ours({}, {.others = others ? &elsewhere : nullptr, .others_counts = others});
      const Rates first =
          simulate_days(ours, far, {effort.days / 2, 300, true}, effort.seed * 100 + 24);
      table.add({broken.name, number(others, 0), percent(on.told), percent(on.unsaid),
                 percent(on.row_wrong), percent(up.told), percent(up.unsaid), percent(down.told),
                 percent(down.unsaid), percent(first.first_harder), number(first.trees_mean, 1),
                 percent(on.noted, 0)});
    }
  }
  return {{"broken_assumptions.md",
           "# When the trees are not as assumed\n\nTolerance 15 %, spread 25 % before anything is "
           "added to it; a day of 100 counts, looked at after every one; nothing known before. "
           "\"Others counted\": trees of the same block counted by the rest of the crew before. "
           "\"Without a word\": the part of those days on which no note stood beside the advice "
           "when it was first told (two kinds of trees, bare trees, neighbours alike, rows differ, "
           "all from one or two rows, little known of the block yet). \"Wrong for the rows counted too\": the mean of the very "
           "rows counted until then did not ask for it either.\n\n" + table.markdown()}};
}

}  // namespace nthtree::oc
