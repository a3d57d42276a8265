// SPDX-License-Identifier: Apache-2.0
//
// All pruners of a block, most in need of the lead's attention first.
//
//   for (const CrewRow& row : crew_board(season, "b1", now_ms)) show(row.person, row.verdict);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/known/counting_bias.h"
#include "advice/judged/against_crew.h"
#include "advice/judged/drift.h"
#include "advice/judged/standing.h"
#include "advice/judged/verdict.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct CrewRow {
  std::string person;
  Standing standing;
  Verdict verdict;          // against the target
  AgainstCrew crew;         // against the others in this block
  Drift drift;
  Counter counter;
  int stride = 0;
  int checks_due = 0;       // tagged trees worth a re-count now
  bool quiet = false;       // no count for longer than the stride and pace would give
  double attention = 0;     // expected spurs put right per tree if seen now; sort key
  Reason why;               // attention_far_trees, attention_urgent, attention_change, crew_more,
                            // crew_fewer, attention_drift, attention_not_counted,
                            // attention_counting, attention_spread, attention_quiet,
                            // attention_open, attention_none
};

std::vector<CrewRow> crew_board(const ledger::Season& season, const std::string& block,
                                std::int64_t now_ms);

}  // namespace nthtree::advice
