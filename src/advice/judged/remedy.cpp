// SPDX-License-Identifier: Apache-2.0
#include "advice/judged/remedy.h"

namespace nthtree::advice {

Remedy remedy_of(const Verdict& verdict) {
  if (verdict.kind != VerdictKind::count_more || verdict.reason.id == "no_target") {
    return Remedy::none;
  }
  if (verdict.reason.id == "count_more_target") return Remedy::cut_more_buds;
  if (verdict.reason.id == "count_more_bias") return Remedy::recount_first;
  if (verdict.reason.id == "far_trees") return Remedy::call_lead;
  return Remedy::count_more;
}

std::string name_of(const Verdict& verdict) {
  switch (remedy_of(verdict)) {
    case Remedy::recount_first: return "recount_first";
    case Remedy::cut_more_buds: return "cut_more_buds";
    case Remedy::call_lead: return "call_lead";
    case Remedy::count_more:
    case Remedy::none: break;
  }
  return name_of(verdict.kind);
}

}  // namespace nthtree::advice
