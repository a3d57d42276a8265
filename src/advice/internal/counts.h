// SPDX-License-Identifier: Apache-2.0
//
// What one person counted in a block, as shares of the target, and what they were told meanwhile:
// the values of evidence.h. Internal to advice/.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "base/rarely.h"
#include "ledger/bodies.h"
#include "orchard/tree_address.h"

namespace nthtree::advice {

// A season has tens of thousands, so what few of them have stands apart.
struct CountPoint {
  std::int64_t at_ms = 0;
  double share_tag = 0;       // spurs ÷ target
  double spurs = 0;           // as first counted, before any mend
  orchard::TreeAddress tree;
  int day = 0;                // since 1970-01-01, at the farm

  struct More {
    double mended = 0;        // fewer spurs after the mend, by the same person's second count
    double check = -1;        // the lead's count of the same tree; -1 where there is none
    double share_mended = 0;  // mended ÷ target
    double share_check = 0;   // check ÷ target, where there is one
    // Where some limbs were counted, spurs is limbs_in_tree times their mean; 0: the whole tree.
    int limbs = 0, limbs_in_tree = 0;
    // What a morning's looks add to the counts (looks.h), as one observation: how many, and its
    // variance relative to the level. 0: a count.
    int looks = 0;
    double look_variance = 0;
  };
  // Of a whole tree counted once: as above.
  const More& more() const {
    const More* held = more_.get();
    return held ? *held : none;
  }
  More& add_more() { return more_.make(); }
  bool has_more() const { return more_.get() != nullptr; }
  bool has_check() const { return more().check >= 0; }
  bool is_look() const { return more().look_variance > 0; }

  // True spurs before the mend ÷ target as far as known: what the lead found, else the tag with
  // what this person usually misses (bias_factor) put back. The lead finds a tree as it was left
  // after the mend; what that took off comes on top, as the pruner counted it.
  double share(double bias_factor) const {
    if (!has_check()) return share_tag * bias_factor;
    return more().share_check + more().share_mended * bias_factor;
  }
  // As shares of so many times the target.
  void scale(double factor);
  // ln(check ÷ tag), where there is a check; the tag of a mended tree is the count after the mend.
  double log_ratio() const;

 private:
  static const More none;
  base::Rarely<More> more_;
};

struct AdvicePoint {
  std::int64_t at_ms = 0;
  ledger::Direction direction = ledger::Direction::on_target;
  double spurs = 0;           // to change by, positive: fewer
};

// A person's counts and the advice among them, or the end of both, as PersonEvidence holds them:
// good until that changes.
struct CountRun {
  std::span<const CountPoint> counts;   // in time order
  std::span<const AdvicePoint> advice;  // the same
  bool bare_few = true;
  // Trees with next to nothing on them (dead, replanted, a slip of the finger) say nothing of the
  // pruner and are set aside, unless they are too many to be that.
  bool sets_aside(const CountPoint& point) const { return bare_few && is_bare(point); }
  static bool is_bare(const CountPoint& point) { return point.share_tag < bare_share; }
  // No more than two, or a quarter, of the counts are bare.
  static bool are_few(std::size_t bare, std::size_t counts) {
    return bare <= 2 || 4 * bare <= counts;
  }
  static constexpr double bare_share = 0.15;  // of the target
};

struct PersonEvidence {
  std::vector<CountPoint> counts;   // in time order
  std::vector<AdvicePoint> advice;  // the same
  bool bare_few = true;
  std::size_t bare = 0;
  void add(CountPoint point);
  bool sets_aside(const CountPoint& point) const { return CountRun(*this).sets_aside(point); }
  operator CountRun() const { return {counts, advice, bare_few}; }
  // The last counts, as if there had been no others, and the advice among them.
  CountRun last(std::size_t counts_most) const;
};

// A person's counts of one day with no advice in between, added up (count_sums.h).
struct DayCounts {
  std::int64_t day = 0;
  int counts = 0;              // all of them; those not set aside; of these, the re-counted
  int used = 0, checked = 0;
  int last_spurs = 0;          // of the last one used
  bool whole = true;           // no count of some limbs among them
  // True spurs ÷ target of those used, summed: checks + tags * bias_factor (CountPoint::share).
  double tags = 0, checks = 0;
};

}  // namespace nthtree::advice
