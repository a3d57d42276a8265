// SPDX-License-Identifier: Apache-2.0
#include "advice/next/when_to_prune.h"

#include "advice/internal/unpruned.h"
#include "advice/known/block_target.h"
#include "advice/known/sizes.h"

namespace nthtree::advice {
namespace {

// What is known of the block when the question is asked.
struct Known {
  bool has_target = false;
  bool has_looked = false;  // buds were cut open, or clusters seen, this year
  double floral_fraction = 0, leave = 0;
  Unpruned unpruned;
  int sized = 0, weak = 0;
};

Known known_of(const ledger::BlockSeason& block, std::int64_t now_ms) {
  Known known;
  if (const auto target = block_target(block)) {
    known.has_target = true;
    known.has_looked = target->source != FloralSource::typed_in;
    known.floral_fraction = target->target.floral_fraction.value;
    known.leave = target->target.spurs_to_leave_per_tree.value;
  }
  known.unpruned = unpruned_trees(block, now_ms);
  for (const auto& [tree, size] : size_classes(block, now_ms).of_tree) {
    ++known.sized;
    known.weak += size == ledger::SizeClass::weak;
  }
  return known;
}

bool is_strongly_biennial(const orchard::Variety& variety) {
  return variety.biennial_tendency == orchard::BiennialTendency::high ||
         variety.pruning_time == orchard::PruningTime::rebase_after_green_tip;
}

Reason spurs_reason(const char* id, const Known& known) {
  return {id, {{"spurs", known.unpruned.spurs.value}, {"target", known.leave}}};
}

WhenToPrune hardly(const Known& known) {
  if (known.unpruned.trees > 0) return {PruneWhen::hardly, {spurs_reason("when_short", known)}};
  return {PruneWhen::hardly,
          {{"when_few_floral", {{"percent", 100 * known.floral_fraction}}},
           {"when_count_trees", {}}}};
}

WhenToPrune before_green_tip(const Known& known, const orchard::Variety& variety) {
  WhenToPrune when{PruneWhen::before_green_tip, {}};
  if (known.sized >= sized_trees_least && 2 * known.weak > known.sized) {
    when.reasons.push_back({"when_weak", {{"weak", known.weak}, {"trees", known.sized}}});
  }
  if (known.unpruned.trees > 0 && known.unpruned.spurs.value >= heavily_spurred * known.leave) {
    when.reasons.push_back(spurs_reason("when_heavy", known));
  }
  if (variety.pruning_time == orchard::PruningTime::before_green_tip) {
    when.reasons.push_back({"when_variety", {}});
  }
  return when;
}

}  // namespace

WhenToPrune when_to_prune(const ledger::Season& season, const std::string& block,
                          const orchard::Variety& variety, std::int64_t now_ms) {
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block) return {};
  const Known known = known_of(*found, now_ms);
  if (!known.has_target) return {PruneWhen::either, {{"no_target", {}}}};
  const bool few_spurs = known.unpruned.trees > 0 && known.unpruned.spurs.value <= known.leave;
  const bool few_floral = known.unpruned.trees == 0 && known.has_looked &&
                          known.floral_fraction < few_floral_fraction;
  if (few_spurs || few_floral) return hardly(known);
  if (is_strongly_biennial(variety) && !known.has_looked) {
    return {PruneWhen::lightly_then_settle, {{"when_biennial", {}}, {"when_cut_buds", {}}}};
  }
  const WhenToPrune early = before_green_tip(known, variety);
  if (!early.reasons.empty()) return early;
  return {PruneWhen::either, {{"when_no_hurry", {}}}};
}

const char* name_of(PruneWhen what) {
  switch (what) {
    case PruneWhen::before_green_tip: return "before_green_tip";
    case PruneWhen::lightly_then_settle: return "lightly_then_settle";
    case PruneWhen::hardly: return "hardly";
    case PruneWhen::either: break;
  }
  return "either";
}

}  // namespace nthtree::advice
