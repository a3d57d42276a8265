// SPDX-License-Identifier: Apache-2.0
// The block's mean by double sampling: many tags, some of them counted again.
#include "advice/known/double_sample.h"
#include "base/text.h"
#include "cli/explain/steps.h"

namespace nthtree::cli {
namespace {

std::string interval_told(const stats::TwoPhaseEstimate& estimate) {
  return base::print("± %s, 90 %% %s to %s", plain(estimate.standard_error).c_str(),
                     plain(estimate.interval.low).c_str(), plain(estimate.interval.high).c_str());
}

}  // namespace

void explain_double_sampling(const ExplainedBlock& it, Worksheet& sheet) {
  const advice::DoubleSample sample = advice::double_sample(it.farm->season, *it.block);
  if (!sample.known) return;
  sheet.step("The block's mean by double sampling, as the books have it");
  const std::string n = num(sample.recounted), all = num(sample.tagged);
  const double tag_mean = sample.tag_sum / sample.tagged;
  sheet.line(counted(sample.tagged, "tree") + " tagged, " + n + " of them counted again");
  sheet.equation("mean of all tags", num(sample.tag_sum) + " ÷ " + all, tag_mean);
  sheet.equation("ratio re-count ÷ tag", num(sample.pair_check_sum) + " ÷ " +
                 num(sample.pair_tag_sum), sample.ratio.slope);
  sheet.equation("mean by the ratio", num(sample.ratio.slope) + " × " + num(tag_mean),
                 sample.ratio.mean, interval_told(sample.ratio));
  sheet.equation("mean by the regression", num(sample.pair_check_sum) + " ÷ " + n + " + " +
                 num(sample.regression.slope) + " × (" + num(tag_mean) + " - " +
                 num(sample.pair_tag_sum) + " ÷ " + n + ")", sample.regression.mean,
                 interval_told(sample.regression) + "; slope " + plain(sample.regression.slope) +
                 ", correlation " + plain(sample.regression.correlation));
  if (sample.pays_above > 0) {
    const std::string r = num(sample.regression.correlation);
    const std::string root = "(1 + √(1 - " + r + " × " + r + "))";
    sheet.equation("it pays where a re-count costs, in tags, more than",
                   root + " × " + root + " ÷ (" + r + " × " + r + ")", sample.pays_above,
                   "(Cochran 1977, ch. 12)");
  }
  sheet.line("every tag weighs the same here, whoever pruned how much; the block's own mean below "
             "weighs by trees pruned and lets old days fade");
}

}  // namespace nthtree::cli
