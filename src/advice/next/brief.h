// SPDX-License-Identifier: Apache-2.0
//
// The crew's brief for a block: the numbers that the lead reads aloud before the first cut.
//
//   Brief brief = crew_brief(season, "b1", now_ms);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/reason.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

struct Brief {
  bool known = false;             // there is a target
  orchard::Estimate spurs_to_leave;
  double band_low = 0, band_high = 0;
  orchard::Estimate spurs_unpruned;  // {0,0,0} where nobody counted
  orchard::Estimate spurs_to_take;
  double spurs_per_limb_to_leave = 0;
  double limbs_to_take = 0;       // limbs above 2 cm where they join, whole, cut at the trunk;
                                  // at most 3 a tree a winter (common practice, no source)
  double spurs_left_to_take = 0;  // beyond those limbs: by spur
  int stride = 0, stride_start = 0;
  std::vector<Reason> cautions;   // caution_ladder, caution_tools, caution_cold, caution_alone,
                                  // caution_sprays, caution_local_rules
  std::vector<Reason> notes;      // brief_no_before_counts, brief_target_loose, brief_stride,
                                  // brief_stride_near
};

Brief crew_brief(const ledger::Season& season, const std::string& block, std::int64_t now_ms);

}  // namespace nthtree::advice
