// SPDX-License-Identifier: Apache-2.0
//
// What an open verdict waits for. More counts are not always the remedy: where a person's counting
// or the target itself is too loosely known, no number of counts would tell. Verdicts, tables,
// screens and the worksheet all name it from here, so that one word has one meaning.
//
//   Remedy remedy = remedy_of(verdict);
//   if (remedy == Remedy::count_more) show(verdict.expected_more_trees);
#pragma once

#include <string>

#include "advice/judged/verdict.h"

namespace nthtree::advice {

enum class Remedy {
  none,           // the verdict is not open, or there is no target to judge by
  count_more,
  recount_first,  // the lead re-counts some of this person's tagged trees
  cut_more_buds,  // the target is too loose
  call_lead,      // trees far off, of which the mean says nothing
};

Remedy remedy_of(const Verdict& verdict);

// Stable word of the verdict, with the remedy where it is open, for files and tests: "harder",
// "lighter", "on_target", "count_more", "recount_first", "cut_more_buds", "call_lead".
std::string name_of(const Verdict& verdict);

}  // namespace nthtree::advice
