// SPDX-License-Identifier: Apache-2.0
//
// Which tagged trees are worth the lead's re-count, best first: where it changes most.
//
// Gain = expected fall of the variance of the standings that are still open, in counts saved
// (one-step look-ahead; the value of sample information, H. Raiffa and R. Schlaifer, Applied
// Statistical Decision Theory, 1961), against the walk. Blind: the tag's number is not part of
// what the lead may see, so it stands in a field of its own.
//
// At most recounts_of_one_person trees of a person: each re-count makes the next one of the same
// person worth less and may change which are worth it at all, and the list is made anew after
// each. Without the bound one doubtful counter fills the whole list and hides the others.
//
//   for (const Recount& r : recount_worklist(season, "b1", now_ms, 10)) show(r.tree, r.person);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/reason.h"
#include "ledger/season.h"

namespace nthtree::advice {

// Five pairs bring the standard error of a person's counting ratio under half that of one pair.
inline constexpr int recounts_of_one_person = 5;

// What a gain is made of: gain() of it. Variances are of logarithms.
struct GainTerms {
  double weight = 0;          // how much the verdict, and the counter, are in doubt
  double odd = 1;             // above 1 where the tag is far from its person's level
  double count_variance = 0;  // of one tag count
  double level_variance = 0;  // of the person's level, from eight counts at least
  double bias_before = 0;     // of the person's counting ratio, and with this pair
  double bias_after = 0;
  // In tag counts: weight × odd × count × (1 ÷ (level + after) - 1 ÷ (level + before)).
  double gain() const;
};

struct Recount {
  orchard::TreeAddress tree;
  std::string person;       // whose tag it is
  std::int64_t tagged_ms = 0;
  double gain = 0;          // tag counts that it is worth (variance saved, in counts)
  Reason reason;            // recount_no_pair, recount_doubtful_counter, recount_odd_number,
                            // recount_undecided, recount_routine
  int tag_spurs_hidden = 0; // not for the lead's screen before the check is saved
  GainTerms terms;
};

// At most `most` trees; those already re-counted are left out.
std::vector<Recount> recount_worklist(const ledger::Season& season, const std::string& block,
                                      std::int64_t now_ms, int most);

}  // namespace nthtree::advice
