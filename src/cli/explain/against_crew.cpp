// SPDX-License-Identifier: Apache-2.0
// A pruner beside the others in the block: the target cancels.
#include <cmath>

#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/reason_text.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

void explain_difference(const ExplainedBlock& it, const advice::AgainstCrew& crew,
                        Worksheet& sheet) {
  std::string mean, variance = num(crew.own_variance);
  TextTable table({"beside", ">ln(spurs left ÷ target)", ">variance", ">weight"});
  for (const advice::CrewPart& part : crew.parts) {
    const std::string weight = num(part.weight);
    table.row({who(it, part.person), plain(part.mean), plain(part.variance), plain(part.weight)});
    add_term(weight + " × " + num(part.mean), mean);
    add_term(weight + " × " + weight + " × " + num(part.variance), variance);
  }
  sheet.block(table.text("    "));
  sheet.line("weights: by 1 ÷ variance, no one above twice an even share; the target, and what the "
             "crew misses on average, are not in the variances");
  sheet.equation("mean of the others", mean, crew.others_mean);
  sheet.equation("apart from the others, in ln", num(crew.own_mean) + " - " +
                 num(crew.others_mean), crew.difference.mean);
  sheet.equation("its standard deviation, no target inside", "√(" + variance + " + " +
                 num(crew.shared_variance) + ")", crew.difference.sd,
                 "(last: what does not cancel of the crew's average miss)");
  sheet.equation("apart from the others, as a share", "exp(" + plain(crew.difference.mean) +
                 ") - 1", crew.fraction.value,
                 base::print("(90 %%: %+.0f %% to %+.0f %%)", 100 * crew.fraction.low,
                             100 * crew.fraction.high));
}

}  // namespace

void explain_against_crew(const ExplainedBlock& it, const advice::PrunerSheet& pruner,
                          Worksheet& sheet) {
  const advice::AgainstCrew& crew = pruner.row.crew;
  if (crew.kind != advice::AgainstCrewKind::too_few_others) explain_difference(it, crew, sheet);
  sheet.line("against the others, by the same lines: " + word_of(crew.kind) + "; " +
             sentence(crew.reason));
}

}  // namespace nthtree::cli
